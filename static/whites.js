// Looks how far the search is, and shows the answer once it is there. Without script there is a link.
import { tell, within } from "./status.js";

const progress = document.getElementById("progress");
const EVERY = 400;
const SLOWEST = 10000; // while nobody answers
const ENDS = {
  401: "This phone is not joined any more: open this page again to join.",
  404: "This set was removed.",
};
let pause = EVERY;

async function look() {
  try {
    const response = await within(5000, (signal) => fetch(progress.dataset.ask, { signal }));
    if (ENDS[response.status]) return tell(() => [ENDS[response.status]]);
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
