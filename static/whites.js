// Looks how far the search is, and shows the answer once it is there. Without script there is a link.
import { signedOut, tell, within } from "./status.js";

const progress = document.getElementById("progress");
const EVERY = 400;
const SLOWEST = 10000; // while nobody answers
let pause = EVERY;

async function look() {
  try {
    const response = await within(5000, (signal) => fetch(progress.dataset.ask, { signal }));
    if (response.status === 401) return signedOut();
    if (response.status === 404) return tell(() => ["This set was removed."]);
    const { state, percent } = await response.json();
    if (state !== "running") return location.replace(progress.dataset.page);
    progress.querySelector("progress").value = percent;
    document.getElementById("percent").textContent = percent;
    pause = EVERY;
  } catch {
    pause = Math.min(2 * pause, SLOWEST); // out of reach for a moment: the page stays, and looks again
  }
  setTimeout(look, pause);
}

if (progress) setTimeout(look, pause);
