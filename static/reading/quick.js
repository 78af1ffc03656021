// Answers as the person types. Without script the form's button does the same.
import { unmark } from "../basis/fields.js";
import { asking } from "../link/asking.js";

const form = document.getElementById("quick");
const answer = document.getElementById("answer");
const said = document.getElementById("said"); // what is read aloud: the answer and what comes of it, no more
const silence = "The laptop does not answer. Is the Wi-Fi there? This page asks again by itself.";

function address() {
  const query = new URLSearchParams(new FormData(form));
  history.replaceState(null, "", `?${query}`);
  if (!query.get("cct").trim() || !query.get("duv").trim()) {
    tell("Type both: CCT and Duv."); // what stood there answered other numbers
    form.classList.remove("silent");
    return null;
  }
  query.set("part", "answer");
  return `${form.action}?${query}`;
}

function show(html) {
  answer.innerHTML = html;
  const target = answer.querySelector("[data-target]"); // not on the locus that the form shows
  if (target) document.getElementById("target-words").textContent = target.dataset.target;
  said.textContent = [...answer.querySelectorAll(".answer, .answer + p")].map((part) => part.innerText).join(": ");
  form.classList.remove("silent");
}

function tell(words) {
  answer.textContent = words;
  if (said.textContent !== words) said.textContent = words; // read aloud once
}

// The form's button, which nobody needs while answers come by themselves, is there to try again.
function fall() {
  tell(silence);
  form.classList.add("silent");
}

const { ask, soon } = asking({ address, show, silence: fall });

form.addEventListener("input", () => {
  soon();
  unmark(form);
});
// The page asks what lamp it is: what is tapped goes into the form, and the answer comes anew.
answer.addEventListener("click", (event) => {
  const kind = event.target.closest("[data-kind]");
  if (!kind) return;
  event.preventDefault();
  form.elements.namedItem("kind").value = kind.dataset.kind;
  ask();
});
form.elements.namedItem("target_cct").addEventListener("input", words);
form.elements.namedItem("target_locus").addEventListener("input", words);

// The target as the server words it: 5 600 K daylight.
function words() {
  const { target_cct: cct, target_locus: locus } = form.elements;
  const kelvins = cct.value.trim().replace(/^(\d{1,2})[\s,]?(\d{3})$/, "$1\u202f$2");
  const name = locus.value === "planckian" ? "Planckian" : locus.value;
  document.getElementById("target-words").textContent = `${kelvins}\u00a0K ${name}`;
}

// No head is on the quick check. On a page that was kept, and is shown in its place, there may be.
const heads = async () => {
  await import("../link/hanging.js");
  document.dispatchEvent(new Event("advisor:shown"));
};
document.addEventListener("advisor:older", heads, { once: true });
