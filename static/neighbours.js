// From head to head with the thumb: a swipe, or a tap on ‹ or ›, goes on to the next one that needs hands. Back
// then leads to where one came from, not through all the heads between.
import { link, toHeading } from "./status.js";

const FAR = 64; // [px]
const EDGE = 24; // there the browser's own swipe begins
const SOON = 800; // [ms]
const ONWARD = "advisor-onward";
const LED = 30_000; // [ms] the page that comes within this is the next head's
let from = null;

function ledOn() {
  try {
    sessionStorage.setItem(ONWARD, String(Date.now()));
  } catch {
    // a full store: the heading is there to read
  }
}

if (Date.now() - Number(sessionStorage.getItem(ONWARD)) < LED) toHeading();
sessionStorage.removeItem(ONWARD);

document.addEventListener("submit", ({ target }) => {
  if (target.matches("[data-leads-on]")) ledOn();
});

document.addEventListener("click", (event) => {
  const to = event.target.closest?.("[data-neighbour]");
  if (!to || event.defaultPrevented || link.lost !== null || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  ledOn();
  location.replace(to.href);
});

// What is wider than the page is moved by the same finger, and so is the text in a field.
function moves(part) {
  for (let one = part; one && one !== document.body; one = one.parentElement) {
    if (one.matches("input, select, textarea, dialog") || one.scrollWidth > one.clientWidth + 1) return true;
  }
  return false;
}

document.addEventListener("touchstart", ({ touches, target }) => {
  const { clientX: x, clientY: y } = touches[0];
  const ours = touches.length === 1 && x > EDGE && x < innerWidth - EDGE;
  from = ours ? { x, y, target, at: performance.now() } : null;
}, { passive: true });

document.addEventListener("touchend", ({ changedTouches }) => {
  const start = from;
  from = null;
  if (!start || performance.now() - start.at > SOON) return;
  const across = changedTouches[0].clientX - start.x;
  const along = Math.abs(changedTouches[0].clientY - start.y);
  if (Math.abs(across) < FAR || Math.abs(across) < 2 * along || moves(start.target)) return;
  document.querySelector(`[data-neighbour=${across < 0 ? "after" : "before"}]`)?.click();
}, { passive: true });
