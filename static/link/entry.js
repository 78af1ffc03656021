// A form as it waits in the outbox: what was typed and tapped, about what, and when. What was taken of it says
// which form it came from.
import { fields, isTick, target } from "../basis/fields.js";
import { nameOf } from "./drafts.js";

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
