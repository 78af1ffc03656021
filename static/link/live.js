// Keeps an open page as the server has it, without taking away what a person is at. Without script the page
// is as it was when it was opened.
import { changed, fields } from "../basis/fields.js";
import { givesWay } from "../basis/gives-way.js";
import { answered, link, renewed, signedOut, tell, unanswered, within } from "./status.js";

const bar = document.getElementById("status");
const EVERY = 2000;
const LEADS = "a, summary";
const SLOWER = [2000, 5000, 10000]; // while nobody answers

const shown = new Map(); // each part as the server last sent it, to see what differs
let revision = bar.dataset.revision ?? null;
let gels = null;
let taken = null; // which heads somebody is at
let etag = "";
let told = null; // what the server last said of the set
let since = 0; // and when that was, on this browser's steady clock
let failures = 0;
let removed = false; // the source that is shown
let pending = null; // the page as it is to be, where a part of it could not be put in place yet
let bodies = 0; // how often another page took the place of the one shown
let turn = Promise.resolve(); // one look after the other: what one hears is not taken for what another fetched
let timer;

async function ask() {
  clearTimeout(timer);
  if (document.visibilityState === "visible") await (turn = turn.then(look));
  clearTimeout(timer);
  timer = setTimeout(ask, failures ? SLOWER[Math.min(failures, SLOWER.length) - 1] : EVERY);
}

async function look() {
  try {
    const headers = etag ? { "If-None-Match": etag } : {};
    const response = await within(5000, (signal) => fetch(bar.dataset.pulse, { headers, signal }));
    if (response.status >= 502) throw new Error("nobody behind the gateway");
    failures = 0;
    answered();
    let fresh = true;
    if (response.status === 200) fresh = await hear(response);
    else if (response.status === 404) removedSet();
    else if (response.status === 401) signedOut();
    else if (response.status === 304) date(response);
    if (response.status === 200 || response.status === 304) {
      if (pending) put(pending);
      else if (due(response)) fresh = await fetchPage().catch(tooSlow);
      if (fresh) renewed();
    }
  } catch (error) {
    failures += 1;
    unanswered(error);
  }
}

function removedSet() {
  renewed();
  tell(() => ["This set was removed."]);
}

// Returns whether the page is as the server has it now. Where it could not be had, it is asked for again: what was
// heard counts as shown only once a page of that revision is in place.
async function hear(response) {
  const body = bodies;
  told = await response.json();
  date(response);
  const elsewhere = (gels !== null && told.gels !== gels) || (taken !== null && told.taken !== taken);
  if (String(told.revision) !== revision || elsewhere) {
    if (!(await fetchPage().catch(tooSlow))) {
      tell(() => ["This page cannot update. It is from ", [link.fresh, "ago"], "."]);
      return false;
    }
  } else if (!removed) {
    await givesWay();
    tell(news);
  }
  if (body !== bodies) return false;
  [revision, gels, taken] = [String(told.revision), told.gels, told.taken];
  etag = response.headers.get("ETag") ?? "";
  return true;
}

// The laptop has just answered: a page that takes long all the same is no lost link.
function tooSlow(error) {
  if (error.name !== "AbortError") throw error;
  return false;
}

// Whether a time has come, by the server's clock, of which the page says something: what to meter by then.
function due(response) {
  const now = Date.parse(response.headers.get("Date"));
  return [...document.querySelectorAll("[data-due]")].some((part) => Date.parse(part.dataset.due) <= now);
}

// When the last change was: the server's two times, taken from each other.
function date(response) {
  const server = Date.parse(response.headers.get("Date"));
  if (told && server) since = performance.now() - Math.max(0, server - Date.parse(told.at));
}

// What was done to a head is said with the way there, unless it is shown: another one's news is not this one's.
function news() {
  const { who, what, here, name, source } = told;
  const said = who ? `${who} ${what}` : `Last change: ${what}`;
  const page = source === null ? "" : `/sources/${source}`;
  const at = page && page !== location.pathname ? said.lastIndexOf(name) : -1;
  const whole = at < 0 ? [said] : [said.slice(0, at), { to: page, words: name }, said.slice(at + name.length)];
  const parts = [...whole, ", ", [since, "ago"], "."];
  return here.length ? [...parts, ` Here: ${here.join(", ")}.`] : parts;
}

// Returns whether it could be had: one that was kept of before, or is older than what was told, is not it. The
// answer to a form stands at an address that only takes forms: it says which page it is. What a source
// was removed from is another page, which offers to bring it back.
async function fetchPage() {
  const body = bodies;
  const page = bar.dataset.page ?? location.href;
  const response = await within(10000, (signal) => fetch(page, { signal, headers: { Accept: "text/html" } }));
  if (!response.ok) return false;
  removed = response.redirected && new URL(response.url).searchParams.has("removed");
  if (removed) {
    const { pathname, search } = new URL(response.url);
    tell(() => ["This source was removed. ", { to: pathname + search, words: "To the set" }]);
  } else {
    const html = await response.text();
    await givesWay();
    const next = new DOMParser().parseFromString(html, "text/html");
    if (!current(next)) return false;
    await givesWay();
    if (body !== bodies) return false;
    put(next);
    tell(news);
  }
  return true;
}

// The service worker gives what it kept where the laptop is late; an answer may have set out before the last change.
function current(page) {
  const has = page.getElementById("status")?.dataset.revision;
  return page.documentElement.dataset.kept === undefined && Number(has) >= told.revision;
}

function put(next) {
  const steady = hold();
  let left = false;
  for (const list of document.querySelectorAll("[data-live-list]")) {
    const other = next.querySelector(`[data-live-list="${list.dataset.liveList}"]`);
    if (other) left = order(list, other) || left;
  }
  for (const part of document.querySelectorAll("[data-live]")) {
    const other = next.querySelector(`[data-live="${part.dataset.live}"]`);
    if (other) left = replace(part, other) || left;
  }
  pending = left ? next : null;
  document.dispatchEvent(new Event("advisor:shown")); // times and buttons in it are made ready
  steady();
}

// Parts of a list come and go, and change their places. Returns whether one has to wait.
function order(list, other) {
  const wanted = [...other.children].map((child) => child.dataset.live);
  let left = false;
  for (const child of [...list.children]) {
    if (wanted.includes(child.dataset.live)) continue;
    if (busy(child)) left = true;
    else child.remove();
  }
  const present = new Map([...list.children].map((child) => [child.dataset.live, child]));
  let before = list.firstElementChild;
  for (const child of other.children) {
    const key = child.dataset.live;
    const mine = present.get(key) ?? document.importNode(child, true);
    if (!present.has(key)) shown.set(key, plain(child));
    if (mine === before) before = before.nextElementSibling;
    else if (present.has(key) && busy(mine)) left = true;
    else list.insertBefore(mine, before);
  }
  return left;
}

function replace(part, other) {
  const key = part.dataset.live;
  const html = plain(other);
  if (shown.get(key) === html) return false;
  if (busy(part)) return true;
  const fresh = document.importNode(other, true);
  const open = [...part.querySelectorAll("details")].map((details) => details.open);
  fresh.querySelectorAll("details").forEach((details, k) => { details.open = open[k] ?? details.open; });
  if (part.matches("details")) fresh.open = part.open;
  const at = [...part.querySelectorAll(LEADS)].indexOf(document.activeElement);
  part.replaceWith(fresh);
  if (at >= 0) fresh.querySelectorAll(LEADS)[at]?.focus({ preventScroll: true });
  shown.set(key, html);
  return false;
}

// What a form brings to be done once differs each time, and says nothing about the set.
function plain(part) {
  return part.outerHTML.replace(/(name="tap" value=")[^"]*/g, "$1");
}

// Whether a person is at it: the focus is in it, or something in it was typed or chosen. What was tapped to
// unfold it, or to come back from, keeps the focus for long: that goes over to what comes in its place. Of a
// form that is being filled in nothing changes: what is typed was meant for what stood there.
function busy(inner) {
  const part = inner.closest("form") ?? inner;
  const focus = document.activeElement;
  if (part.contains(focus) && !focus.matches(LEADS)) return true;
  return fields(part).some(changed);
}

// What is looked at stays where it is: returns what puts it back there.
function hold() {
  const parts = [...document.querySelectorAll("[data-live], [data-live-list] > *, main form, main h2")];
  const top = (part) => part.getBoundingClientRect().top;
  const lasts = (part) => part.dataset.live || !part.closest("[data-live]"); // what is in a part goes with it
  const key = parts.find((part) => top(part) >= 0 && part.getBoundingClientRect().height > 0 && lasts(part));
  if (!key || scrollY === 0) return () => {};
  const was = top(key);
  const name = key.dataset.live;
  document.documentElement.style.overflowAnchor = "none";
  return () => {
    const now = key.isConnected ? key : document.querySelector(`[data-live="${name}"]`);
    if (now) scrollBy(0, top(now) - was);
    document.documentElement.style.overflowAnchor = "";
  };
}

// What is in the page now is what was last put there.
function note() {
  shown.clear();
  for (const part of document.querySelectorAll("[data-live]")) shown.set(part.dataset.live, plain(part));
}

note();
if (bar.dataset.pulse) {
  document.addEventListener("visibilitychange", ask);
  const anew = () => { [etag, revision] = ["", null]; };
  document.addEventListener("advisor:older", () => { // another page, and one of before
    bodies += 1;
    pending = null;
    anew();
    note();
  });
  document.addEventListener("advisor:sent", async () => {
    turn = turn.then(anew);
    await ask();
  });
  ask();
}
