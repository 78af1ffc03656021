// What a finger lies on is about to unfold: it is laid out before the finger lifts. What is in sight is laid out before
// that, one fold at a time, while nothing else is to be done. The reading pad does so by itself.
import { idly } from "../basis/gives-way.js";

const CLOSED = "details:not([open]) > summary:not(.button)";
const layOut = (summary) => summary.nextElementSibling?.getBoundingClientRect();

document.addEventListener("touchstart", ({ target }) => {
  const summary = target.closest?.(CLOSED);
  if (summary) layOut(summary);
}, { passive: true });

const inSight = new IntersectionObserver((seen) => {
  for (const { target, isIntersecting } of seen) if (isIntersecting) next(target);
});

function next(summary) {
  inSight.unobserve(summary);
  idly(() => {
    if (summary.matches(CLOSED)) layOut(summary);
  });
}

function look() {
  document.querySelectorAll(CLOSED).forEach((summary) => inSight.observe(summary));
}
document.addEventListener("advisor:shown", look);
look();
