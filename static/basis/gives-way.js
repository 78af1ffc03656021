// A finger on the glass, or a key that is held, goes first: what can wait is done once that is answered.
const ANSWERED = 100; // from when it lifts until what it asked for is painted [ms]
const LONGEST = 1000; // a finger may rest, or go without a word
let release = null; // while something is touched
let free = Promise.resolve();
let timer;

function begins() {
  if (!release) free = new Promise((resolve) => { release = resolve; });
  ends(LONGEST);
}

function ends(after) {
  clearTimeout(timer);
  timer = setTimeout(() => {
    release?.();
    release = null;
  }, after);
}

const heard = { capture: true, passive: true };
for (const type of ["pointerdown", "keydown"]) document.addEventListener(type, begins, heard);
for (const type of ["pointerup", "pointercancel", "keyup"]) document.addEventListener(type, () => ends(ANSWERED), heard);

export const touched = () => release !== null;

// Between two pieces of long work: what was touched meanwhile is answered before the next.
export async function givesWay() {
  await new Promise((resolve) => { setTimeout(resolve); });
  while (touched()) await free;
}

// While nothing else is to be done. Where a browser cannot tell, it is not done at all.
export function idly(act) {
  window.requestIdleCallback?.(async () => {
    if (!touched()) return act();
    await free;
    idly(act);
  });
}

// What need not be seen at once is done once the page is painted: a finger waits for no more than what it asked for.
export function painted(act) {
  requestAnimationFrame(() => setTimeout(act));
}
