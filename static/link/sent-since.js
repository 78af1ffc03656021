// What left this phone since the page that it shows was made: a page that was kept of before does not know of it. It is
// told by when each was taken in, by this phone's clock, for as long as that page is shown.
import { load, save } from "../basis/kept.js";
import { link } from "./status.js";

const NAME = "advisor-sent";
const MOST = 40;
let here = []; // what had to wait and was sent while this page is open, until it is renewed
let told = false; // whether any of it is told on the page

// Returns whether it is of a head.
export function remember(entry, waited) {
  if (!entry.settles && !/^\/sources\/\d+\/(?:work|reading)$/.test(entry.action)) return false;
  const one = { ...entry, state: "sent", at: Date.now() };
  if (waited) here.push(one);
  save(NAME, [...load(NAME, []), one].slice(-MOST));
  return true;
}

// In the order in which it was sent. A page that came from the laptop itself has all that was sent before.
export function since() {
  const before = link.made === null ? [] : load(NAME, []).filter(({ at, key }) => at >= link.made && !here.some((one) => one.key === key));
  told = before.length + here.length > 0;
  return [...before, ...here];
}

// Returns whether anything is told by it no more.
export function renewed() {
  here = [];
  return told;
}
