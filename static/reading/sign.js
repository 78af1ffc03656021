// A ± button beside fields that may be negative: with it they get the keypad for numbers, which may have no
// minus. What a refused number may mean goes into its field at a tap. A Duv that is typed as its places says as what it is read; Enter leads from CCT to it. Without script
// there is none of it. It listens above the forms, since a live page puts new ones in.
import { mended } from "../basis/fields.js";

function ready() {
  for (const button of document.querySelectorAll("[data-sign]")) {
    button.hidden = false;
    document.getElementById(button.dataset.sign).inputMode = "decimal";
  }
  document.querySelectorAll("[data-places]").forEach(say);
}

// The pattern of what is read so is the server's.
function say(field) {
  const text = field.value.trim();
  const places = new RegExp(`^(?:${field.dataset.places})$`, "u").test(text);
  const minus = /^[-–−]/.test(text) ? "−" : "";
  const words = places ? `read as ${minus}0.${text.replace(/^\D/, "").padStart(4, "0")}` : "";
  const said = document.querySelector(`output[for="${field.id}"]`);
  if (said.textContent !== words) said.textContent = words;
}

document.addEventListener("input", ({ target }) => {
  if (target.dataset?.places) say(target);
});
document.addEventListener("reset", () => setTimeout(ready));

document.addEventListener("keydown", (event) => {
  const { key, target } = event;
  if (key !== "Enter" || event.isComposing || target.getAttribute?.("enterkeyhint") !== "next") return;
  event.preventDefault();
  target.closest(".row").querySelector("[enterkeyhint=done]").focus();
});

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-sign], [data-use]");
  if (!button) return;
  const field = document.getElementById(button.dataset.sign ?? button.dataset.use);
  const text = field.value.trim();
  if (button.dataset.use) take(field, button);
  else field.value = /^[-−]/.test(text) ? text.replace(/^[-−]\s*/, "") : `−${text.replace(/^\+/, "")}`;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.focus();
});
// What was wrong with the field, or with the one beside which it was said, is no longer.
function take(field, button) {
  const boxes = new Set([field, button].map((part) => part.closest(".has-wrong")));
  field.value = button.value;
  for (const box of boxes) if (box) mended(box);
}
document.addEventListener("advisor:shown", ready);
ready();
