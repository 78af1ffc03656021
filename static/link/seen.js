// Pages that can be read without the link. A page of a set, or of a head in it, asks for the pages of the set's
// heads while nothing else is to be done. Where there is a service worker it keeps them; over plain HTTP, where
// browsers have none, this tab does, and puts them in place of what it shows.
import { givesWay } from "../basis/gives-way.js";
import { link, toHeading, within } from "./status.js";

const NAME = "advisor-seen ";
const ASKED = "advisor-asked ";
const FRESH = 60_000;
const SOON = 3000;
const MOST = 24; // heads, the first of the set's page
const LISTED = 8;
const bar = document.getElementById("status");
const here = () => location.pathname + location.search;
const worker = () => Boolean(navigator.serviceWorker?.controller);
let swapped = false;

async function ask(name) {
  const at = Date.now(); // what is sent meanwhile may not be in it
  const html = await within(10000, async (signal) => {
    const got = await fetch(name, { signal, headers: { Accept: "text/html" } });
    return got.ok && !got.redirected ? got.text() : "";
  });
  await givesWay();
  if (html && !worker()) keep(name, html, at);
  return html;
}

function keep(name, html, at) {
  try {
    sessionStorage.setItem(NAME + name, JSON.stringify([at, html]));
  } catch {
    // a full store: what is there already stays
  }
}

function kept(name) {
  try {
    return JSON.parse(sessionStorage.getItem(NAME + name));
  } catch {
    return null;
  }
}

async function gather() {
  const set = bar.dataset.pulse?.match(/^\/live\/(\d+)$/)?.[1];
  if (!set || swapped || link.lost !== null || link.out || document.visibilityState !== "visible") return;
  try {
    if (Date.now() - Number(sessionStorage.getItem(ASKED + set)) < FRESH) return;
    sessionStorage.setItem(ASKED + set, String(Date.now()));
    // Its links are looked for in the text: to make a page of it would hold up whoever types meanwhile.
    const heads = [...(await ask(`/sets/${set}`)).matchAll(/ href="(\/sources\/\d+)"/g)].map((found) => found[1]);
    const names = [...new Set(heads)].slice(0, MOST).concat(heads.length ? `/sets/${set}/order` : []);
    if (names.length) import("./near.js"); // for readings that are typed on those pages: they run no script of their own
    for (const name of names) {
      if (link.lost !== null || document.visibilityState !== "visible") return;
      await ask(name);
    }
  } catch {
    // out of reach: what was given before is there
  }
}

// Shows a page that was given before; returns whether there is one.
link.open = async (to) => {
  const name = to.pathname + to.search;
  if (worker()) {
    if (!(await (await caches.open("advisor-pages")).match(name))) return false;
    location.assign(to);
    return true;
  }
  const found = kept(name);
  if (!found) return false;
  if (!kept(here())) keep(here(), document.documentElement.outerHTML, Date.now() - (performance.now() - link.fresh));
  history.pushState(null, "", to);
  swap(found);
  return true;
};

function swap([at, html]) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const main = document.adoptNode(page.querySelector("main"));
  document.querySelector("main").replaceWith(main);
  document.title = page.title;
  document.body.className = page.body.className;
  link.made = at;
  link.fresh = performance.now() - Math.max(0, Date.now() - at);
  swapped = true;
  document.dispatchEvent(new Event("advisor:older"));
  document.dispatchEvent(new Event("advisor:shown"));
  bar.querySelector(".missed")?.remove();
  scrollTo(0, 0);
  toHeading();
}

// Says in one line that a page was never given, and lists those that were, the newest first. A tap on it puts it away.
link.missed = async (words) => {
  const pages = once((worker() ? await fromWorker() : fromTab()).filter(({ name }) => name !== here()));
  bar.querySelector(".missed")?.remove();
  const said = make("summary", `Not kept here: ${plainly(words)}.${pages.length ? " Kept:" : ""}`);
  const links = pages.slice(0, LISTED).map(({ name, title }) => make("li", Object.assign(make("a", title), { href: name })));
  const list = Object.assign(make("ul", ...links), { className: "list" });
  const part = Object.assign(make("details", said, list), { className: "missed", open: true });
  part.addEventListener("toggle", () => part.open || part.remove());
  bar.append(part);
  said.focus({ preventScroll: true });
};

// What a link says, on one line: of a row it is the instruction and the name, which stand below each other.
const plainly = (words) => words.trim().replace(/\s+/g, " ").slice(0, 40).replace(/[ .:]+$/, "");

// One page may be kept by several addresses, as after a form: the newest is listed.
function once(pages) {
  const found = new Map();
  for (const { name, html } of pages) {
    const title = new DOMParser().parseFromString(html.slice(0, html.indexOf("</title>")), "text/html").title.split(" · ")[0];
    const key = JSON.stringify([name.split("?")[0], title]);
    if (!found.has(key)) found.set(key, { name, title });
  }
  return [...found.values()];
}

function make(tag, ...children) {
  const made = document.createElement(tag);
  made.append(...children);
  return made;
}

async function fromWorker() {
  const pages = await caches.open("advisor-pages");
  const newest = (await pages.keys()).reverse().slice(0, 2 * LISTED);
  return Promise.all(newest.map(async (request) => {
    const { pathname, search } = new URL(request.url);
    return { name: pathname + search, html: await (await pages.match(request)).text() };
  }));
}

function fromTab() {
  const names = Object.keys(sessionStorage).filter((name) => name.startsWith(NAME)).map((name) => name.slice(NAME.length));
  return names.map((name) => ({ name, found: kept(name) })).filter(({ found }) => found)
    .sort((one, other) => other.found[0] - one.found[0]).map(({ name, found }) => ({ name, html: found[1] }));
}

document.addEventListener("advisor:answered", () => bar.querySelector(".missed")?.remove());

addEventListener("popstate", () => {
  if (!swapped) return;
  const found = link.lost !== null && kept(here());
  if (found) swap(found);
  else location.reload();
});

// As soon as somebody answers again, and all is sent, the page is loaded as it is now.
document.addEventListener("advisor:answered", () => {
  if (swapped && !link.kept) location.reload();
});

setTimeout(gather, SOON);
setInterval(gather, FRESH);
