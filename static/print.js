// Paper has no taps: what is folded is printed whole, also where a browser cannot open it for print by its style.

addEventListener("beforeprint", () => document.querySelectorAll("details.older").forEach((part) => { part.open = true; }));
