// What a head's page told on this phone before: it may have changed by what was read of another head, and whoever
// went up the ladder by the old words has to know. It is told until something is said or read of this head.
import { load, save } from "../basis/kept.js";

const NAME = "advisor-told";
const MOST = 100;

function tell() {
  const line = document.querySelector("[data-told]");
  if (!line) return;
  const { told, of, at } = line.dataset;
  const others = load(NAME, []).filter(([head]) => head !== of);
  const before = load(NAME, []).find(([head, revision]) => head === of && revision === at);
  const was = before ? before[2] : told;
  save(NAME, [...others, [of, at, was]].slice(-MOST));
  line.querySelector("span").textContent = was;
  line.hidden = was === told;
}

tell();
document.addEventListener("advisor:shown", tell);
