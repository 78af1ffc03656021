// The bar under the navigation: whether the server answers, what others did, what still waits to be sent.
// Ages come from the browser's steady clock alone: the one on the wall may be wrong, or be set meanwhile.
import { touched } from "../basis/gives-way.js";
import { lasts } from "../basis/kept.js";

const bar = document.getElementById("status");
const said = bar.querySelector("[role=status]");

// `lost` since when nobody answers; `busy` whether somebody is there and an answer takes long all the same; `left`
// when the page was left for another; `fresh` since when the page is known to be as the server has it; `kept` what
// waits on the phone, in words; `out` whether this phone is signed out; `open` what
// shows a page that was given before, and `missed` what says that one never was (seen.js); `old` whether the page is yet
// to be renewed since the link came back; `made` when a page that was kept was asked for, by the clock on the wall.
export const link = { old: false, made: null, lost: null, busy: false, left: -Infinity, fresh: performance.now(), kept: "", out: false, open: null, missed: null };
// A page that the service worker kept is one of before, until somebody answers. Until then it `waits`: the laptop was
// asked for it, and may only be slow.
const kept = Number(document.documentElement.dataset.kept ?? 0);
link.waits = kept > 0;
const LEAVING = 30_000;
const SLOW = 10_000;
const MOST = 40_000;
const news = { parts: () => [] };
let told = "";

// Whether what is sent is likely to be there at once, as far as is known.
export const reached = () => link.lost === null && !link.waits;

export function answered() {
  const known = reached();
  [link.lost, link.waits] = [null, false];
  if (known) return;
  link.old = Boolean(bar.dataset.pulse) || kept > 0;
  draw();
  document.dispatchEvent(new Event("advisor:answered"));
}

// With the `error`, if any: no answer in time, on a page that was kept, is no lost link at once.
export function unanswered(error) {
  if (performance.now() - link.left < LEAVING) return; // the page that comes says how it is
  if (link.waits && error?.name === "AbortError" && performance.now() < SLOW) return;
  link.waits = false;
  const first = link.lost === null;
  link.lost ??= performance.now();
  draw();
  if (first) document.dispatchEvent(new Event("advisor:lost"));
}

// What to say while there is a link: a function that returns parts, see `draw`.
export function tell(parts) {
  news.parts = parts;
  draw();
}

// Text, links as {to, words}, and ages as [since]: these are drawn anew each second, and not read aloud again.
function draw() {
  bar.classList.toggle("loud", link.lost !== null || link.out);
  hold();
  const parts = link.lost !== null ? before("OFFLINE. ") : link.waits ? before("Waiting for the laptop. ") : link.busy && link.kept ? busy() : link.old ? old() : news.parts();
  const words = JSON.stringify(parts.filter((part) => !Array.isArray(part)));
  if (words !== told) {
    told = words;
    said.replaceChildren(...parts.map((part) => (Array.isArray(part) ? ageOf(part) : part.to ? linkTo(part) : part)));
    return;
  }
  const ages = parts.filter(Array.isArray);
  said.querySelectorAll("span").forEach((span, k) => {
    const now = age(...ages[k]);
    if (span.textContent !== now) span.firstChild.data = now; // a new child would have the whole bar styled again
  });
}

// What goes by the whole set as it is now, as a plan for it does, is not tapped on a page that may be old.
function hold() {
  for (const button of document.querySelectorAll("form[data-linked] button")) button.disabled = !reached();
}

function before(how) {
  return [how, link.kept && `${link.kept} kept here. `, "Page is ", [link.fresh, "old"], "."];
}

function old() {
  return ["Page from ", [link.fresh, "ago"], ". It is being renewed."];
}

function busy() {
  return ["The laptop is busy. ", `${link.kept} kept here.`];
}

// The page is as the server has it.
export function renewed() {
  link.fresh = performance.now();
  link.made = null;
  document.dispatchEvent(new Event("advisor:renewed"));
  if (!link.old) return;
  link.old = false;
  draw();
}

// What waits on the phone: “1 reading”, “2 readings, 1 change”.
export function keeping(words) {
  link.kept = words;
  draw();
}

// The laptop does not know this phone any more: a page says so, and asks for the code. What was typed is in the
// store of this browser; where that keeps nothing, the page stays, and says it in its bar.
export function signedOut() {
  link.out = true;
  const page = bar.dataset.page ?? location.pathname + location.search;
  const to = `/join?next=${encodeURIComponent(page)}`;
  if (lasts()) location.replace(to);
  else tell(() => ["SIGNED OUT. ", { to, words: "Enter the code to rejoin" }]);
}

function linkTo({ to, words }) {
  return Object.assign(document.createElement("a"), { href: to, textContent: words });
}

function ageOf(part) {
  const span = document.createElement("span");
  span.ariaHidden = "true";
  span.textContent = age(...part);
  return span;
}

// How long since; with a word as a person says it: “12 s ago”, or “just now” within a second, and “12 s old”.
function age(since, word = "") {
  const seconds = Math.max(word === "old" ? 1 : 0, Math.round((performance.now() - since) / 1000));
  if (word === "ago" && seconds < 1) return "just now";
  return word ? `${span(seconds)} ${word}` : span(seconds);
}

function span(seconds) {
  if (seconds < 100) return `${seconds} s`;
  if (seconds < 6000) return `${Math.round(seconds / 60)} min`;
  return seconds < 172800 ? `${Math.round(seconds / 3600)} h` : `${Math.round(seconds / 86400)} days`;
}

// Whether the server answers, asked now.
export async function reach() {
  try {
    const response = await within(3000, (signal) => fetch("/live", { signal, cache: "no-store" }));
    if (response.status >= 502) throw new Error("nobody behind the gateway");
    answered();
    return true;
  } catch (error) {
    unanswered(error);
    return false;
  }
}

// Waits on while somebody is there: who works on something is slow, and not out of reach. `slow` is called then.
export async function patiently(slow, ask) {
  const control = new AbortController();
  const until = performance.now() + MOST; // a connection may be dead while others work
  const asked = ask(control.signal);
  const ended = asked.then(() => true, () => true);
  while (!(await Promise.race([ended, new Promise((resolve) => { setTimeout(resolve, SLOW, false); })]))) {
    if (performance.now() < until && (await reach())) slow();
    else control.abort();
  }
  return asked;
}

// Gives up after a while: on a poor Wi-Fi a request can hang for minutes.
export async function within(milliseconds, ask) {
  const control = new AbortController();
  const timer = setTimeout(() => control.abort(), milliseconds);
  try {
    return await ask(control.signal);
  } finally {
    clearTimeout(timer);
  }
}

// Who was led on is told where they are: the heading has the focus, and a screen reader says it.
export function toHeading() {
  const heading = document.querySelector("main h1");
  if (!heading) return;
  heading.tabIndex = -1;
  heading.focus({ preventScroll: true });
}

// The browser's own page for "no link" would take this one away, and nothing could bring it back.
document.addEventListener("click", async (event) => {
  const anchor = event.target.closest?.("a[href]");
  if (link.lost === null || event.defaultPrevented || anchor === null) return;
  const to = new URL(anchor.getAttribute("href"), location.href);
  if (to.origin !== location.origin || (to.pathname + to.search === location.pathname + location.search && to.hash)) return;
  event.preventDefault();
  if (await link.open?.(to)) return;
  if (await reach()) return location.assign(to);
  await link.missed?.(anchor.ariaLabel ?? anchor.innerText);
  bar.scrollIntoView({ block: "nearest" });
});

setInterval(() => {
  if (!touched()) draw();
}, 1000);

// A page that asks for no pulse sees by this that nobody answers.
if (!bar.dataset.pulse && document.querySelector("form[data-linked]")) setInterval(reach, 5000);

if (kept) {
  link.made = kept;
  link.fresh = performance.now() - Math.max(0, Date.now() - kept);
  draw();
  reach();
  const again = setInterval(async () => {
    if (reached() || (await reach())) clearInterval(again);
  }, 5000);
  document.addEventListener("advisor:answered", () => {
    if (!link.kept) location.reload();
  });
}
