// A ± button beside fields whose keypad may have no minus. Without script the plain field remains.
for (const button of document.querySelectorAll("[data-sign]")) {
  const field = document.getElementById(button.dataset.sign);
  button.hidden = false;
  button.addEventListener("click", () => {
    const text = field.value.trim();
    field.value = /^[-−]/.test(text) ? text.replace(/^[-−]\s*/, "") : `−${text.replace(/^\+/, "")}`;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.focus();
  });
}
