// What need not be seen at once is done once the page is painted: a finger waits for no more than what it asked for.
export function painted(act) {
  requestAnimationFrame(() => setTimeout(act));
}

// What a finger lies on is about to unfold: it is laid out before the finger lifts. The pad does so by itself.
document.addEventListener("touchstart", ({ target }) => {
  target.closest?.("details:not([open]) > summary:not(.button)")?.nextElementSibling?.getBoundingClientRect();
}, { passive: true });
