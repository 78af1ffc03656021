// From head to head with the thumb: a swipe, or a tap on ‹ or ›, goes on to the next one that needs hands. Back
// then leads to where one came from, not through all the heads between.
import { link, toHeading } from "../link/status.js";

const FAR = 64; // [px]
const EDGE = 24; // there the browser's own swipe begins
const SOON = 800; // [ms]
const ONWARD = "advisor-onward";
const BOARD = "advisor-board";
const LED = 30_000; // [ms] the page that comes within this is the next head's
let from = null;
let standing = ""; // the head that is shown

function ledOn() {
  try {
    sessionStorage.setItem(ONWARD, String(Date.now()));
  } catch {
    // a full store: the heading is there to read
  }
}

let walks = Date.now() - Number(sessionStorage.getItem(ONWARD)) < LED; // whether this head was reached from another one
if (walks) toHeading();
sessionStorage.removeItem(ONWARD);

function remembered() {
  try {
    return JSON.parse(sessionStorage.getItem(BOARD)) ?? { at: "", order: [] };
  } catch {
    return { at: "", order: [] };
  }
}

// Whether one stands where one stood: the page was loaded again, or what was done here led back to it.
function stays(head, at) {
  const again = performance.getEntriesByType("navigation")[0]?.type !== "navigate";
  return head === at && (again || document.referrer === "" || new URL(document.referrer).pathname.startsWith(`/sources/${head}`));
}

// ‹ and › go by the board as it was when the walk began: a head that was done meanwhile keeps its place in it, and
// whoever stands there comes on to the one below it.
function order() {
  const part = document.querySelector(".neighbours[data-board]");
  const head = document.querySelector("[data-head]")?.dataset.head;
  if (!part || !head) return;
  const now = part.dataset.board.split(" ");
  const all = now.map((one) => one.replace("-", ""));
  const was = remembered();
  const known = was.order.includes(head) && (walks || standing === head || stays(head, was.at));
  const board = known ? [...was.order.filter((one) => all.includes(one)), ...all.filter((one) => !was.order.includes(one))] : all;
  standing = head;
  walks = false;
  try {
    sessionStorage.setItem(BOARD, JSON.stringify({ at: head, order: board }));
  } catch {
    // a full store: the ways lead by the board as it is
  }
  const at = board.indexOf(head);
  const around = [...board.slice(at + 1), ...board.slice(0, at)];
  const needing = around.filter((one) => now.includes(one));
  const others = needing.length ? needing : around;
  lead(part.querySelector("[data-neighbour=before]"), others.at(-1));
  lead(part.querySelector("[data-neighbour=after]"), others[0]);
}

// Of another head than the laptop named, the name is on its page.
function lead(to, head) {
  const path = `/sources/${head}`;
  if (!to || to.getAttribute("href") === path) return;
  to.href = path;
  to.ariaLabel = to.ariaLabel.split(":")[0];
}

order();
document.addEventListener("advisor:shown", order);

document.addEventListener("submit", ({ target }) => {
  if (target.matches("[data-leads-on]")) ledOn();
});

document.addEventListener("click", (event) => {
  const to = event.target.closest?.("[data-neighbour]");
  if (to) walks = true;
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
