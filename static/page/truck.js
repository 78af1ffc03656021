// − and + beside the fields for sheets, and a family's tick that ticks what is in it. Without script the
// fields are typed in, and each gel ticked. Empty is plenty: it lies below none.
const form = document.querySelector("form.truck");

function step(field, by) {
  const text = field.value.trim();
  const now = text === "" ? null : Number(text);
  if (Number.isNaN(now)) return; // what was typed is not ours to change: saving says what is wrong
  if (now === null) field.value = by > 0 ? "1" : "";
  else field.value = now + by < 0 ? "" : String(Math.min(now + by, 9999));
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

for (const button of form.querySelectorAll("[data-step]")) {
  button.hidden = false;
  button.addEventListener("click", () => step(document.getElementById(button.dataset.of), Number(button.dataset.step)));
}

form.addEventListener("change", ({ target }) => {
  if (!target.matches(".whole") || !target.checked) return;
  const ticks = [...target.closest(".family").querySelectorAll("[name=on]")];
  if (ticks.some((tick) => tick.checked)) return;
  for (const tick of ticks) tick.checked = true;
  ticks[0]?.dispatchEvent(new Event("change", { bubbles: true })); // it is kept as typed
});
