// What a finger lies on is about to unfold: it is laid out before the finger lifts. The reading pad does so by itself.
document.addEventListener("touchstart", ({ target }) => {
  target.closest?.("details:not([open]) > summary:not(.button)")?.nextElementSibling?.getBoundingClientRect();
}, { passive: true });
