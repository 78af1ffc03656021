// Looks how far the search is, and shows the answer once it is there. Without script there is a link.
import { signedOut, tell, within } from "../link/status.js";

const progress = document.getElementById("progress");
const again = document.getElementById("again"); // a form that is sent again
const EVERY = 400;
const SLOWEST = 10000; // while nobody answers
let pause = EVERY;

async function look() {
  try {
    const response = await within(5000, (signal) => fetch(progress.dataset.ask, { signal }));
    if (response.status === 401) return signedOut();
    if (response.status === 404) return tell(() => ["This set was removed."]);
    const { state, percent } = await response.json();
    if (again && state === "stopped") return;
    if (state !== "running") return again ? again.submit() : location.replace(progress.dataset.page);
    const shown = document.getElementById("percent");
    if (shown) {
      progress.querySelector("progress").value = percent;
      shown.textContent = percent;
    }
    pause = EVERY;
  } catch {
    pause = Math.min(2 * pause, SLOWEST); // out of reach for a moment: the page stays, and looks again
  }
  setTimeout(look, pause);
}

if (progress) setTimeout(look, pause);
