// Paper has no taps: what is folded is printed whole, also where a browser cannot open it for print by its style.
// The page's own button asks the browser to print.

addEventListener("beforeprint", () => document.querySelectorAll("details.older").forEach((part) => { part.open = true; }));
for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}
