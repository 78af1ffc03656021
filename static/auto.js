// A form that answers as soon as something in it is changed. Without script its button remains.
for (const form of document.querySelectorAll("form[data-auto]")) {
  form.addEventListener("change", () => form.requestSubmit());
}
