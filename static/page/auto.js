// A form that answers as soon as something in it is changed. Without script its button remains. It listens
// above the forms, since a live page puts new ones in their place.
document.addEventListener("change", (event) => {
  const form = event.target.form;
  if (form?.matches("form[data-auto]")) form.requestSubmit();
});
