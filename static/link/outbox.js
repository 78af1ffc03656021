// Sends forms so that each arrives once, over any Wi-Fi: what cannot be sent waits on the phone, through a
// reload, and goes in order as soon as somebody answers. Without script forms are sent by the browser.
import { changed, fields, target } from "../basis/fields.js";
import { load, save } from "../basis/kept.js";
import { entryOf, forget, formOf, holds, keep, rebased, restore, sent, tellTaken, times } from "./drafts.js";
import { remember, renewed } from "./sent-since.js";
import { answered, keeping, link, patiently, reach, reached, signedOut, unanswered } from "./status.js";
import { counted, show } from "./waiting.js";

const NAME = "advisor-outbox";
const EVERY = 2000;
const PATIENCE = 10000;
const FORM = "application/x-www-form-urlencoded";
const TOLD = {
  401: "this phone is signed out",
  403: "this phone may not do that: ask whoever is at the laptop, then open this page again",
  404: "its head or set was removed. Open it to bring that back, or to give a reading to another head",
  409: "somebody changed it meanwhile",
  412: "somebody changed it meanwhile",
  422: "something in it cannot be used",
};

const ours = new Set(); // keys of what was sent from this very page
const late = new Set(); // of these, what had to wait
const stamped = new Map(); // buttons that say that it is kept, with what they said before
let pumping = false;
let elsewhere = false; // a link was tapped since the last form was sent: its page is about to come
let lasting = true;

const box = () => load(NAME, []);

function change(alter) {
  const entries = box();
  const kept = alter(entries) ?? entries;
  lasting = save(NAME, kept);
  draw();
}

function draw() {
  const soon = (entry) => ours.has(entry.key) && !late.has(entry.key) && reached();
  keeping(counted(box().filter((entry) => entry.state === "waiting" && !entry.again)));
  const kept = box().filter((entry) => !soon(entry));
  show(kept, lasting, { discard, open: answer, again: retry });
  document.dispatchEvent(new CustomEvent("advisor:box", { detail: { entries: box(), kept } }));
}

// What is kept is said where the thumb is, until the form is another one or was sent.
function stamp(button) {
  if (!button || stamped.has(button)) return;
  stamped.set(button, [...button.childNodes]);
  button.replaceChildren("Kept ✓");
  button.dataset.kept = "";
}

function unstamp(which) {
  for (const [button, words] of stamped) {
    if (!which(button)) continue;
    button.replaceChildren(...words);
    delete button.dataset.kept;
    stamped.delete(button);
  }
}

function discard(key) {
  change((entries) => entries.filter((entry) => entry.key !== key));
}

function retry() {
  change((entries) => entries.forEach((entry) => {
    entry.state = "waiting";
    delete entry.again;
  }));
  pump();
}

// What was not taken may be by now. Until it is known it stays in the list as what was not taken.
function retryRefused() {
  change((entries) => entries.forEach((entry) => {
    if (entry.state === "held") Object.assign(entry, { state: "waiting", again: true });
  }));
  pump();
}

// Who asked for a head without the link is there, or elsewhere, by the time it is sent: it takes none.
const waited = ({ key, walks }) => (walks && (late.has(key) || !ours.has(key)) ? [["waited", "yes"]] : []);

// The proof that a form is from our page: this one's, since it may have been renewed since the form was filled.
const token = () => document.querySelector("meta[name=token]")?.content ?? "";

async function send(entry) {
  const headers = { "Idempotency-Key": entry.key, Accept: "application/json", "X-Token": token() };
  const body = new URLSearchParams([...entry.body, ...times(entry), ...waited(entry)]);
  const response = await patiently(slow, (signal) => fetch(entry.action, { method: "POST", headers, body, signal }));
  if (response.headers.get("Answered-By") !== "advisor") throw new Error("somebody else answered");
  const json = response.headers.get("Content-Type")?.startsWith("application/json") ? await response.json() : null;
  return { status: response.status, json };
}

function slow() {
  link.busy = true;
  wait();
}

// What was sent from this page has to wait: it is in the list, and what it was typed in may be put away.
function wait() {
  for (const key of ours) late.add(key);
  draw();
  document.dispatchEvent(new Event("advisor:kept"));
}

// Sends what waits, one after the other; the order is that in which it was done.
async function pump() {
  if (pumping) return;
  pumping = true;
  let to = null;
  let heard = false;
  try {
    for (let entry; (entry = box().find((one) => one.state === "waiting")); ) {
      const got = await send(entry);
      answered();
      heard = true;
      to = settle(entry, got) ?? to;
    }
  } catch (error) {
    unanswered(error);
    wait();
  } finally {
    pumping = false;
    link.busy = false;
  }
  // What was refused stays in the list, and holds no page up.
  if (heard && box().every((entry) => entry.state !== "waiting")) document.dispatchEvent(new Event("advisor:answered"));
  if (to === null) return;
  if (elsewhere) document.dispatchEvent(new Event("advisor:sent"));
  else go(to);
}

// Returns where to go, if this page sent it.
function settle(entry, { status, json }) {
  const mine = ours.has(entry.key);
  if (json?.to !== undefined) {
    if (remember(entry, !mine || late.has(entry.key))) document.dispatchEvent(new CustomEvent("advisor:taken", { detail: entry }));
    change((entries) => rebased(entries.filter((one) => one.key !== entry.key), entry, json));
    spend(entry);
    if (!mine) return null;
    ours.delete(entry.key);
    clear(entry);
    // What waited does not take a page away on which the person is at something else by now.
    if (late.has(entry.key) && atSomething()) {
      document.dispatchEvent(new Event("advisor:sent"));
      return null;
    }
    return json.to;
  }
  if (status < 300) {
    answer(entry.key); // it is answered by a page
    discard(entry.key);
    return null;
  }
  const says = TOLD[status] ?? "the laptop could not do it";
  change((entries) => entries.forEach((one) => { if (one.key === entry.key) Object.assign(one, { state: "held", again: false, status, says }); }));
  if (mine && !late.has(entry.key) && status !== 401 && status !== 403) {
    answer(entry.key);
    // The page that answers is about to come; should it not come, what was typed is in the list.
    setTimeout(() => { late.add(entry.key); draw(); }, PATIENCE);
    return null;
  }
  late.add(entry.key);
  draw();
  unstamp((button) => button.form && target(button.form) === entry.action);
  if (status === 401) signedOut();
  return null;
}

// A form that holds what was sent, and nothing else since, is empty again: it is not to be sent twice.
function clear(entry) {
  unstamp((button) => !button.form || target(button.form) === entry.action);
  const form = formOf(entry);
  if (!form || !holds(form, entry)) return;
  delete form.dataset.taken;
  form.reset();
}

// What was sent is no draft any more; what was typed into its form since is one.
function spend(entry) {
  const form = formOf(entry);
  if (form && fields(form).some(changed) && !holds(form, entry)) keep(form);
  else forget(entry.draft);
}

function atSomething() {
  return fields(document).some((field) => field === document.activeElement || (field.form?.method === "post" && changed(field)));
}

function go(to) {
  const next = new URL(to, location.href);
  link.left = performance.now();
  if (next.pathname + next.search !== location.pathname + location.search) return location.assign(next);
  // A reload would send the form again that this page answered.
  if (document.querySelector("meta[name=answers]")) return location.assign(to.split("#")[0]);
  history.replaceState(null, "", next);
  history.scrollRestoration = "manual"; // the answer is at the top
  return location.reload();
}

// Lets the browser send an entry, so that its answer is a page: with what was typed, and what is wrong.
function answer(key) {
  const entry = box().find((one) => one.key === key);
  if (!entry) return;
  const form = document.createElement("form");
  Object.assign(form, { method: "post", action: entry.action, hidden: true });
  for (const [name, value] of [...entry.body, ...times(entry), ...waited(entry), ["once", entry.key], ["token", token()]]) {
    const field = document.createElement("input");
    Object.assign(field, { type: "hidden", name, value });
    form.append(field);
  }
  document.body.append(form);
  HTMLFormElement.prototype.submit.call(form); // a field may bear its name
}

// This page is the answer to an entry: what was typed is in its form now, which from here on is a draft.
function arrive() {
  const key = document.querySelector("meta[name=answers]")?.content;
  const entry = key && box().find((one) => one.key === key);
  if (!entry) return false;
  if (!entry.told) { // a tap, in which nothing was typed
    discard(key);
    return true;
  }
  const names = entry.body.map(([name]) => name).filter((name) => !/^(revision|asked|pick_)/.test(name));
  const ready = (one) => one.method === "post" && target(one) === entry.action && names.every((name) => one.elements.namedItem(name));
  const forms = [...document.forms].filter(ready);
  const form = forms.find((one) => fields(one).length) ?? forms[0];
  if (!form) return false;
  forget(entry.draft);
  if (entry.taken) form.dataset.taken = entry.taken;
  keep(form, true);
  tellTaken(form);
  discard(key);
  return true;
}

function queue(form, button) {
  const entry = entryOf(form, button);
  const same = ({ action, body }) => JSON.stringify([action, body]);
  const twin = box().find((one) => one.state === "waiting" && same(one) === same(entry));
  ours.add(twin?.key ?? entry.key);
  elsewhere = false;
  if (!twin) change((entries) => [...entries.filter(replacedBy(form, entry)), entry]);
  stamp(button);
  if (!reached()) wait();
  pump();
}

// What is sent on from the page that refused it is that same entry, taken when it was: it is not to come in twice.
function replacedBy(form, entry) {
  const key = "instead" in form.dataset && document.querySelector("meta[name=answers]")?.content;
  return (one) => {
    if (one.key !== key) return true;
    Object.assign(entry, { taken: one.taken, told: one.told, draft: one.draft });
    return false;
  };
}

// Without the link a form that leads on to a page that is kept leads there at once.
async function onward({ dataset }) {
  if (link.lost === null || !dataset.onward || !link.open) return;
  if (await link.open(new URL(dataset.onward, location.href))) elsewhere = true;
  else await link.missed(dataset.words);
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post") return;
  if (form.enctype === FORM) {
    event.preventDefault();
    queue(form, event.submitter);
    onward(form);
    return;
  }
  // With a file: the browser sends it, but not into the void, which would take the page away.
  // A second tap, while it is asked who is there or the answer is on its way, sends nothing again.
  if (form.dataset.reached === "yes") {
    form.dataset.reached = "sent";
    setTimeout(() => { delete form.dataset.reached; }, PATIENCE);
    sent(form);
    return;
  }
  event.preventDefault();
  if (form.dataset.reached !== undefined) return;
  form.dataset.reached = "asking";
  if (await reach()) {
    form.dataset.reached = "yes";
    form.requestSubmit(event.submitter);
  } else {
    delete form.dataset.reached;
  }
});

document.addEventListener("input", (event) => unstamp((button) => button.form === event.target.form));
document.addEventListener("reset", (event) => unstamp((button) => button.form === event.target));

document.addEventListener("click", (event) => {
  if (!event.defaultPrevented && event.target.closest?.('a[href]:not([href^="#"])')) elsewhere = true;
});

draw(); // before what was chosen in the form is chosen again
document.addEventListener("advisor:shown", draw);
document.addEventListener("advisor:lost", () => { if (ours.size) wait(); });
document.addEventListener("advisor:renewed", () => { if (renewed()) draw(); });
if (!arrive()) restore();
retryRefused();
setInterval(() => {
  if (box().some((entry) => entry.state === "waiting")) pump();
}, EVERY);
