// A ± button beside fields that may be negative: with it they get the keypad for numbers, which may have no
// minus. Without script there is neither. It listens above the forms, since a live page puts new ones in.
function ready() {
  for (const button of document.querySelectorAll("[data-sign]")) {
    button.hidden = false;
    document.getElementById(button.dataset.sign).inputMode = "decimal";
  }
}

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-sign]");
  if (!button) return;
  const field = document.getElementById(button.dataset.sign);
  const text = field.value.trim();
  field.value = /^[-−]/.test(text) ? text.replace(/^[-−]\s*/, "") : `−${text.replace(/^\+/, "")}`;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.focus();
});
document.addEventListener("advisor:shown", ready);
ready();
