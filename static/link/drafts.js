// What was typed into a form that is not sent yet: kept through a reload, and shown again.
import { changed, fields, isTick, target } from "../basis/fields.js";
import { painted } from "../basis/gives-way.js";
import { load, save } from "../basis/kept.js";
import { said } from "../basis/times.js";

const NAME = "advisor-drafts";
const MOST = 30;
const LONG_AGO = 60_000; // what was read since then was read just now
const SEEN = ["revision", "showed", "version"]; // hidden fields that say what stood there when it was typed

const late = new Set(); // forms that are to be kept

const seen = (form) => SEEN.flatMap((name) => form.querySelector(`[name=${name}]`) ?? []);
const posts = () => [...document.querySelectorAll("form")].filter((form) => form.method === "post");

// A form is known by where it leads, and which one it is of those that lead there and have fields: the page
// that answers it stands at another address, and offers the same fields again.
export function nameOf(form) {
  const alike = posts().filter((other) => target(other) === target(form) && fields(other).length);
  return `${target(form)} ${alike.indexOf(form)}`;
}

export function keep(form, all = false) {
  late.delete(form);
  const drafts = load(NAME, {});
  const name = nameOf(form);
  delete drafts[name]; // what was typed last comes last
  const typed = fields(form).filter((field) => all || changed(field));
  if (typed.length) {
    const values = typed.map((field) => [field.name, field.value, isTick(field) ? field.checked : null]);
    const { taken, away } = form.dataset;
    drafts[name] = { values, taken, away, seen: Object.fromEntries(seen(form).map((field) => [field.name, field.value])) };
  }
  for (const old of Object.keys(drafts).slice(0, -MOST)) delete drafts[old];
  save(NAME, drafts);
}

export function forget(name) {
  settle();
  const drafts = load(NAME, {});
  delete drafts[name];
  save(NAME, drafts);
}

// A form that the browser itself sends: the page that comes next shows what became of it.
export function sent(form) {
  settle();
  const drafts = load(NAME, {});
  if (drafts[nameOf(form)]) drafts[nameOf(form)].sent = true;
  save(NAME, drafts);
}

// A page that the server could not make has nothing of what was typed, so that stays.
function drop() {
  const status = performance.getEntriesByType("navigation")[0]?.responseStatus ?? 0;
  if (status >= 500) return;
  const drafts = load(NAME, {});
  for (const [name, draft] of Object.entries(drafts)) if (draft.sent) delete drafts[name];
  save(NAME, drafts);
}

export function restore() {
  drop();
  const drafts = load(NAME, {});
  for (const form of posts()) {
    const draft = drafts[nameOf(form)];
    if (!draft) continue;
    const before = seen(form).map((field) => [field, field.value]);
    const filled = fill(form, draft); // what was sent again by a reload stands there already
    if (draft.taken) form.dataset.taken = draft.taken;
    if (draft.away) form.dataset.away = draft.away;
    tellTaken(form);
    if (filled) note(form, () => before.forEach(([field, value]) => { field.value = value; }));
  }
}

function fill(form, draft) {
  let filled = false;
  for (const [name, value, ticked] of draft.values) {
    const alike = fields(form).filter((field) => field.name === name);
    const field = ticked === null ? alike[0] : alike.find((one) => one.value === value);
    // What is offered no longer is chosen by nobody.
    if (!field || (field.matches("select") && ![...field.options].some((option) => option.value === value))) continue;
    const before = [field.value, field.checked];
    if (ticked === null) field.value = value;
    else field.checked = ticked;
    filled ||= before[0] !== field.value || before[1] !== field.checked;
  }
  // It was typed over what was there then: what was changed since is told from what was typed by that.
  if (filled) for (const field of seen(form)) field.value = draft.seen?.[field.name] ?? field.value;
  return filled;
}

// What came back from the list of what waits was read when it was sent first: that is said, and can be changed.
export function tellTaken(form) {
  const at = new Date(Number(form.dataset.taken));
  if (!(Date.now() - at.getTime() > LONG_AGO) || !form.elements.namedItem("cct") || "mends" in form.dataset) return;
  const words = document.createElement("p");
  words.className = "taken";
  words.setAttribute("role", "status");
  words.textContent = `Read at ${said(at)}. `;
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Read just now";
  button.addEventListener("click", () => {
    delete form.dataset.taken;
    keep(form, true);
    words.remove();
  });
  words.append(button);
  form.prepend(words);
}

function note(form, back) {
  const words = document.createElement("p");
  words.setAttribute("role", "status");
  words.textContent = "What you typed here before is back, and not sent yet. ";
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Forget it";
  button.addEventListener("click", () => {
    form.reset();
    back();
    delete form.dataset.taken;
    form.querySelector(".taken")?.remove();
    forget(nameOf(form));
    words.remove();
  });
  words.append(button);
  form.prepend(words);
  if (form.dataset.away) return; // put away by who typed it: its button says that it is there
  for (let outer = form.closest("details"); outer; outer = outer.parentElement.closest("details")) outer.open = true;
}

// A key is painted first: to keep a form takes a slow phone as long.
function typed(event) {
  const form = event.target.form;
  if (form?.method !== "post") return;
  if (!late.size) painted(settle);
  late.add(form);
}

// A page that goes, or is hidden, is painted no more.
function settle() {
  for (const form of [...late]) keep(form);
}
document.addEventListener("input", typed);
document.addEventListener("change", typed);
document.addEventListener("visibilitychange", settle);
addEventListener("pagehide", settle);

// A form as it waits in the outbox: what was typed and tapped, about what, and when.
function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

export function entryOf(form, button) {
  const body = [...new FormData(form)].filter(([name]) => name !== "tap" && name !== "token");
  if (button?.name) body.push([button.name, button.value]);
  const says = (field) => (isTick(field) ? field.checked && field.type === "radio" : field.value);
  const typed = fields(form).filter((field) => says(field) && field.labels?.length);
  const about = document.querySelector("h1").textContent.trim();
  const hangs = (form.querySelector("select[name=stack]")?.selectedOptions[0] ?? form).dataset.hangs ?? "";
  return {
    key: newKey(),
    action: target(form),
    body,
    words: form.dataset.words ?? `${[button?.innerText.trim().replace(/\s+:/, ":") || "A change", hangs].filter(Boolean).join(" ")}: ${about}`,
    hangs,
    told: typed.map((field) => [field.labels[0].innerText.trim(), shownIn(field)].join(" ").trim()).join(", ").slice(0, 200),
    draft: nameOf(form),
    walks: "walks" in form.dataset,
    near: form.dataset.near ?? "",
    settles: "settles" in form.dataset ? (document.querySelector("[data-head]")?.dataset.head ?? "") : "",
    did: "settles" in form.dataset ? (button?.innerText.trim() ?? "") : "",
    taken: Number(form.dataset.taken) || Date.now(),
    state: "waiting",
  };
}

function shownIn(field) {
  if (isTick(field)) return "";
  return field.matches("select") ? (field.selectedOptions[0]?.innerText.trim() ?? "") : field.value.slice(0, 40);
}

// What was done when, by this phone's clock, and what that says now: the clock may be wrong, by how much it
// does not know. From how long the two are apart the laptop knows when it was.
export const times = ({ taken }) => (taken ? [["taken", taken], ["sent", Date.now()]] : []);

export const formOf = ({ draft }) => [...document.forms].find((one) => one.method === "post" && fields(one).length && nameOf(one) === draft);

export function holds(form, { body }) {
  const had = new Map(body);
  return fields(form).every((field) => isTick(field) || field.value === (had.get(field.name) ?? ""));
}

// What this phone did before raised the revision that its next write of the same thing saw.
export function rebased(entries, { action }, { was, revision }) {
  const thing = action.split("/").slice(0, 3).join("/");
  for (const entry of was === undefined ? [] : entries) {
    if (entry.action.split("/").slice(0, 3).join("/") !== thing) continue;
    for (const pair of entry.body) if (pair[0] === "revision" && pair[1] === String(was)) pair[1] = String(revision);
  }
  return entries;
}
