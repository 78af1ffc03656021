// Asks the laptop for an answer to what is being typed. The last question alone is answered; where nobody answers it
// is asked again, so that the answer is there once the link is.
import { givesWay } from "../basis/gives-way.js";
import { answered, unanswered, within } from "./status.js";

const PATIENCE = 5000;
const PAUSE = 250; // between two keys nobody is asked
const AGAIN = [1000, 2000, 5000]; // after the first silence, the second, and each that follows

// `address` is what to ask now, null for nothing; `show` is given the answer's HTML, `silence` that there is none.
export function asking({ address, show, silence }) {
  let waiting;
  let silent = 0;
  let asked = 0;

  function fall() {
    silence();
    waiting = setTimeout(ask, AGAIN[Math.min(silent, AGAIN.length - 1)]);
    silent += 1;
  }

  async function ask() {
    clearTimeout(waiting);
    const mine = ++asked;
    const to = address();
    if (to === null) return;
    try {
      const [response, html] = await within(PATIENCE, async (signal) => {
        const got = await fetch(to, { signal });
        return [got, await got.text()];
      });
      answered();
      if (mine !== asked) return;
      if (!response.ok) return fall();
      silent = 0;
      await givesWay();
      if (mine === asked) show(html);
    } catch {
      if (mine !== asked) return;
      unanswered();
      fall();
    }
  }

  function soon() {
    clearTimeout(waiting);
    waiting = setTimeout(ask, PAUSE);
  }

  // Where an answer is owed it is asked for at once.
  function now() {
    if (silent && document.visibilityState === "visible") ask();
  }

  addEventListener("online", now);
  document.addEventListener("visibilitychange", now);
  return { ask, soon };
}
