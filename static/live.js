// Keeps an open page as the server has it, without taking away what a person is at. Without script the page
// is as it was when it was opened.
import { changed, fields } from "./fields.js";
import { answered, link, tell, unanswered, within } from "./status.js";

const bar = document.getElementById("status");
const EVERY = 2000;
const LEADS = "a, summary";
const SLOWER = [2000, 5000, 10000]; // while nobody answers

const shown = new Map(); // each part as the server last sent it, to see what differs
let revision = bar.dataset.revision ?? null;
let gels = null;
let etag = "";
let failures = 0;
let pending = null; // the page as it is to be, where a part of it could not be put in place yet
let timer;

async function ask() {
  clearTimeout(timer);
  if (document.visibilityState === "visible") await look();
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
    if (response.status === 200) await hear(response);
    else if (response.status === 404) tell(() => ["This set was removed."]);
    else if (response.status === 401) tell(() => ["This phone is not joined any more: open this page again to join."]);
    else if (response.status === 304) date(response);
    if (response.status === 200 || response.status === 304) {
      if (pending) put(pending);
      link.fresh = performance.now();
    }
  } catch {
    failures += 1;
    unanswered();
  }
}

async function hear(response) {
  const now = await response.json();
  if (String(now.revision) !== revision || (gels !== null && now.gels !== gels)) await fetchPage();
  [revision, gels, etag] = [String(now.revision), now.gels, response.headers.get("ETag") ?? ""];
  hear.now = now;
  date(response);
  tell(news);
}

// When the last change was, on this browser's steady clock: the server's two times, taken from each other.
function date(response) {
  const server = Date.parse(response.headers.get("Date"));
  if (hear.now && server) hear.since = performance.now() - Math.max(0, server - Date.parse(hear.now.at));
}

function news() {
  const { who, what, here } = hear.now;
  const said = who ? `${who} ${what}` : what[0].toUpperCase() + what.slice(1);
  const parts = [`${said}, `, [hear.since], " ago."];
  return here.length ? [...parts, ` Here: ${here.join(", ")}.`] : parts;
}

async function fetchPage() {
  const response = await within(10000, (signal) => fetch(location.href, { signal, headers: { Accept: "text/html" } }));
  if (response.ok) put(new DOMParser().parseFromString(await response.text(), "text/html"));
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
  const key = parts.find((part) => top(part) >= 0 && part.getBoundingClientRect().height > 0);
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

for (const part of document.querySelectorAll("[data-live]")) shown.set(part.dataset.live, plain(part));
if (bar.dataset.pulse) {
  document.addEventListener("visibilitychange", ask);
  document.addEventListener("advisor:sent", async () => {
    etag = "";
    revision = null;
    await ask();
  });
  ask();
}
