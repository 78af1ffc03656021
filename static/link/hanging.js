// What waits on the phone of what hangs: until it is sent, the head's page goes by it. Its reading form says what a
// reading is behind, and its band what was done.
import { since } from "./sent-since.js";
import { settle } from "./settled.js";
import { make } from "./waiting.js";

const DONE = ["Hung", "Swapped", "Added", "Taken off", "All taken off", "Stays bare", "Dials set", "Confirm"];
const words = new WeakMap(); // bands, with what they said before
const forms = new WeakMap(); // what a form says it is read behind: as it was, and for which entries it was changed
let sentHere = []; // what was sent since the form was shown: the form is as that left it until the page is renewed

const value = ({ body }, name) => body.find(([field]) => field === name)?.[1];

// What was sent stays said, while the part that says it is the same.
document.addEventListener("advisor:taken", ({ detail }) => sentHere.push(detail));

document.addEventListener("advisor:box", ({ detail: { entries, kept } }) => hanging(entries, kept));

// `entries` are all that are in the outbox, `kept` those that have to wait for the link.
function hanging(entries, kept) {
  const before = since();
  const told = [...before, ...kept.filter(({ state, again }) => state === "waiting" && !again)];
  board(told);
  settle(kept, sentHere, before);
  const form = document.querySelector("#new-reading form");
  if (!form) return;
  const action = new URL(form.getAttribute("action"), location.href).pathname.replace(/reading$/, "work");
  const about = (entry) => entry.action === action && ["hung", "confirm", "clear"].includes(value(entry, "action"));
  const waits = (entry) => entry.state === "waiting" && !entry.again && about(entry);
  const reads = (entry) => entry.action === action.replace(/work$/, "reading");
  const part = form.querySelector(".pad-top > div");
  if (!forms.has(part)) {
    sentHere = [];
    forms.set(part, { was: [...part.childNodes], for: "" });
  }
  const gone = [...before.filter(({ key }) => !sentHere.some((one) => one.key === key)), ...sentHere];
  behind(part, [...gone.filter(about), ...entries.filter(waits)]);
  const { head } = document.querySelector("[data-head]")?.dataset ?? {};
  const settles = (entry) => entry.settles && entry.settles === head;
  band(told.findLast((entry) => about(entry) || reads(entry) || settles(entry)));
}

function behind(part, done) {
  const known = forms.get(part);
  const now = done.map(({ key }) => key).join();
  if (now === known.for) return;
  known.for = now;
  part.replaceChildren(...known.was);
  const first = part.querySelector("[name=behind]");
  if (!done.length || first?.value === "") return; // where it is asked anew, it stays asked
  let hung = part.querySelector("[name=hung]")?.value;
  let said = part.querySelector("[value=hung]")?.parentElement.textContent.trim();
  let chosen = (part.querySelector("[name=behind]:checked") ?? first)?.value ?? "bare";
  for (const entry of done) {
    const act = value(entry, "action");
    if (act === "confirm") continue;
    chosen = act === "hung" ? "hung" : "bare";
    if (act !== "hung") continue;
    hung = gelsOf(value(entry, "stack")).join("; ");
    said = hung ? `With ${entry.hangs || hung}` : "As it stands";
  }
  if (said === undefined) return;
  const legend = make("legend", { className: "unseen", textContent: "Read" });
  const either = [["hung", said], ["bare", "Bare"]].map(([which, shown]) => choice(which, shown, which === chosen));
  part.replaceChildren(make("input", { type: "hidden", name: "hung", value: hung ?? "" }), make("fieldset", { className: "either" }, legend, ...either));
}

function choice(which, shown, defaultChecked) {
  const radio = make("input", { type: "radio", name: "behind", value: which, defaultChecked });
  return make("label", { className: "tick" }, radio, ` ${shown}`);
}

function gelsOf(stack) {
  try {
    return JSON.parse(stack).gels ?? [];
  } catch {
    return [];
  }
}

const doneIn = (entry) => (/reading$/.test(entry.action) ? `Read ${figures(entry)}${entry.near ? `: ${entry.near}` : ""}`.trim() : (DONE.find((one) => entry.words.startsWith(one)) ?? entry.did));

// What was read, as a page writes it: “4 300 K, Duv +0.0024”.
function figures(entry) {
  const [cct, duv] = [value(entry, "cct"), value(entry, "duv")];
  const kelvins = /^\d{4,5}$/.test(cct) ? `${cct.slice(0, -3)}\u202f${cct.slice(-3)} K` : "";
  return [kelvins, kelvins && duv && `Duv ${duv}`].filter(Boolean).join(", ");
}

const shown = (done, { state }) => `${done === "Confirm" ? "Confirmed" : done}, ${state === "sent" ? "sent. This page is older" : "kept here"}`;

// The rows of a board, which the laptop made before it heard of what was done here.
function board(told) {
  const said = new Map();
  for (const entry of told) {
    const head = entry.action.match(/^\/sources\/(\d+)\/(?:work|reading)$/)?.[1];
    if (head && doneIn(entry)) said.set(head, shown(doneIn(entry), entry));
  }
  for (const old of document.querySelectorAll("[data-kept-here]")) if (!said.has(old.dataset.keptHere)) old.remove();
  for (const [head, words] of said) {
    const row = document.querySelector(`#head-${head} .do, [data-live="task-${head}"] .do`);
    if (!row) continue;
    let line = row.querySelector("[data-kept-here]");
    if (!line) {
      line = make("small", {});
      line.dataset.keptHere = head;
      row.append(line);
    }
    if (line.textContent !== words) line.textContent = words;
  }
  begin(said);
}

// The work order sends nobody to a head that was done from here: on to the next one that is free.
function begin(said) {
  const form = document.querySelector("form[data-start]");
  if (!form) return;
  const head = form.elements.namedItem("head");
  const first = head.dataset.first ??= head.value;
  form.dataset.name ??= form.dataset.words;
  const free = [...document.querySelectorAll("[data-free]")].find(({ dataset }) => !said.has(dataset.live.slice(5)));
  const own = !said.has(first);
  const to = own ? first : free?.dataset.live.slice(5);
  form.hidden = to === undefined;
  if (to === undefined || head.value === to) return;
  head.value = to;
  form.dataset.words = own ? form.dataset.name : `Start: ${free.dataset.free}`;
  form.dataset.onward = `/sources/${to}`;
  form.querySelector("button").textContent = form.dataset.words;
}

function band(entry) {
  const place = document.querySelector(".band");
  if (!place) return;
  const done = entry && doneIn(entry);
  if (!words.has(place)) words.set(place, place.lastChild.textContent);
  place.lastChild.textContent = done ? ` ${shown(done, entry)}` : words.get(place);
}
