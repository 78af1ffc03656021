// What a person typed or chose in a form, as against what the server rendered in it.

export function changed(field) {
  if (field.matches("select")) {
    const first = Math.max(0, [...field.options].findIndex((option) => option.defaultSelected));
    return field.selectedIndex !== first;
  }
  return isTick(field) ? field.checked !== field.defaultChecked : field.value !== field.defaultValue;
}

export function isTick(field) {
  return field.matches("[type=checkbox], [type=radio]");
}

// The fields that a person fills in, of a form or of any other part of the page.
export function fields(part) {
  return [...part.querySelectorAll("input, textarea, select")].filter(
    (field) => field.name && !field.matches("[type=hidden], [type=file], [type=submit], [type=password]"),
  );
}

// Notes beside the fields of a form are about what was typed before: with the first key they go.
export function unmark(form) {
  form.querySelectorAll(".has-wrong").forEach(mended);
}

export function mended(box) {
  box.classList.remove("has-wrong");
  box.querySelector("input, select").removeAttribute("aria-invalid");
  box.querySelector("[id$=-note]")?.replaceChildren();
}

// Where a form leads. Not `form.action`: a button with that name hides it.
export function target(form) {
  const to = new URL(form.getAttribute("action") ?? "", location.href);
  return to.pathname + to.search;
}
