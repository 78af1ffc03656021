// What was understood of a paste follows at once when something about it is tapped or chosen. Without script
// each of these is a button that sends the form.
import { answered, unanswered, within } from "../link/status.js";

const PATIENCE = 10000;
const AGAIN = 500;
const form = document.querySelector("form[data-preview]");
let asked = 0;

// Saving, and reading what was pasted, make a page of their own.
const here = (button) => button && button.closest("#preview") && button.name !== "save";

async function ask(button) {
  const body = new FormData(form, button ?? null);
  const mine = ++asked;
  try {
    let html = null;
    while (html === null && mine === asked) {
      html = await within(PATIENCE, async (signal) => {
        const got = await fetch(form.getAttribute("action") || location.pathname, { method: "POST", body, signal });
        if (got.status === 503 && got.headers.has("Answered-By")) return null; // it is being read: ask again
        if (!got.ok && got.status !== 422) throw new Error(`${got.status}`);
        return got.text();
      });
      if (html === null) await new Promise((resolve) => { setTimeout(resolve, AGAIN); });
    }
    answered();
    if (mine === asked) show(html, document.activeElement?.id, button?.closest("li details"));
  } catch (error) {
    unanswered(error);
  }
}

// What was `taken` as it stands in its fields is folded again.
function show(html, focused, taken) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const next = page.getElementById("preview");
  if (!next) return;
  const open = [...document.querySelectorAll("#preview details[open]")].filter((part) => part !== taken).map(nameOf);
  document.getElementById("preview").replaceWith(document.adoptNode(next));
  for (const part of next.querySelectorAll("details")) part.open ||= open.includes(nameOf(part));
  (document.getElementById(focused) ?? next.querySelector("[autofocus]"))?.focus({ preventScroll: true });
  document.getElementById("said").textContent = next.querySelector("h1").textContent;
}

// A part that was opened stays open, though its words may have changed.
const nameOf = (part) => part.closest("li")?.querySelector("input, select")?.name ?? part.className;

form.addEventListener("change", (event) => {
  if (event.target.matches("#preview .columns select")) ask();
});
form.addEventListener("submit", (event) => {
  if (!here(event.submitter)) return;
  event.preventDefault();
  ask(event.submitter);
});
