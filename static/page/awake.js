// The screen stays on while a head is looked at, where the browser offers it: hands are full. Ten minutes after the
// last touch it may go dark again, since the battery has to last the day.
const ENOUGH = 600_000;
let lock = null;
let timer;

async function hold() {
  clearTimeout(timer);
  timer = setTimeout(() => lock?.release(), ENOUGH);
  if (document.visibilityState !== "visible" || (lock && !lock.released)) return;
  try {
    lock = await navigator.wakeLock.request("screen");
  } catch {
    lock = null; // a low battery, or a browser that was told not to
  }
}

if ("wakeLock" in navigator) {
  document.addEventListener("visibilitychange", hold);
  document.addEventListener("pointerdown", hold);
  hold();
}
