// The reading pad: "New reading" opens over the head, with the answer to what is typed, and Save above the keypad.
// Without script the same form unfolds in the page. It listens above, since a page may be put in place of another.
import { changed, fields, unmark } from "../basis/fields.js";
import { idly, painted } from "../basis/gives-way.js";
import { asking } from "../link/asking.js";
import { keep } from "../link/drafts.js";
import "../link/near.js";
import { link } from "../link/status.js";

const LOW = 300; // a phone on its side with its keypad [px]
const WIDE = 600;
const TWICE = 500; // the second of two taps comes within this [ms],
const NEAR = 40; // and as near as this to the first [px]
const part = () => document.getElementById("new-reading");
const pad = () => part()?.querySelector(".pad");
const shown = () => document.querySelector(".pad.over");
const typed = (form) => ["cct", "duv"].some((name) => form.elements.namedItem(name).value.trim());
const kept = (form) => form.querySelector("[data-kept]") !== null; // by the outbox: nothing in it waits to be saved

function open() {
  const dialog = pad();
  const form = dialog.querySelector("form");
  const field = form.querySelector("[autofocus]") ?? form.elements.namedItem("cct");
  fit(dialog); // asked before anything is changed: the page is laid out once, as the pad takes the focus
  delete form.dataset.away;
  folded(form);
  part().open = true;
  dialog.classList.add("over");
  field.focus({ preventScroll: true });
  if (field.value) field.select?.(); // what stands there goes with the first key
  if (typed(form) && !form.querySelector("[aria-invalid]")) ask(); // what is wrong stands beside its field
}

// Nothing but the pad can be reached from here on. The browser looks at the whole page again for that, which is
// why the pad is painted first; the field keeps the focus, and a phone its keypad.
function seal() {
  const dialog = shown();
  if (!dialog || dialog.matches(":modal")) return;
  const at = dialog.contains(document.activeElement) ? document.activeElement : document.getElementById("cct");
  dialog.removeAttribute("open"); // as it unfolds in the page
  at.setAttribute("autofocus", "");
  dialog.showModal();
  at.removeAttribute("autofocus");
}

function close() {
  const dialog = pad();
  const form = dialog.querySelector("form");
  if (dialog.open) dialog.close();
  dialog.classList.remove("over");
  part().open = false;
  dialog.setAttribute("open", "");
  form.dataset.away = "yes";
  if (kept(form)) {
    delete form.dataset.taken;
    form.reset(); // the outbox has it: the next reading begins empty
    keep(form);
  } else if (typed(form)) {
    keep(form, !fields(form).some(changed)); // refused, it stands there as it was sent
  }
  name();
  part().querySelector("summary").focus({ preventScroll: true });
  idly(prepare);
}

// Laid out once while nobody waits for it, and not painted: it is there at once when it is asked for.
function prepare() {
  const dialog = pad();
  if (!dialog || part().open) return;
  fit(dialog);
  dialog.classList.add("over");
  part().open = true;
  dialog.getBoundingClientRect();
  part().open = false;
  dialog.classList.remove("over"); // whoever unfolds it otherwise finds it in the page
}

// What was typed and not saved is not forgotten: the button says so.
function name() {
  const form = pad()?.querySelector("form");
  if (form) part().querySelector("summary").textContent = typed(form) && !kept(form) ? "Finish the reading" : "New reading";
}

// As high as what a keypad leaves free: it covers a page without making it smaller.
function fit(dialog) {
  const { height, width, offsetTop, scale } = window.visualViewport ?? {};
  if (!height || scale > 1.01) return; // who zooms in moves about in it
  dialog.style.setProperty("--free", `${height}px`);
  dialog.style.setProperty("--from", `${offsetTop}px`);
  dialog.classList.toggle("low", height < LOW && width > WIDE);
}
function refit() {
  if (shown()) fit(shown());
}
window.visualViewport?.addEventListener("resize", refit);
window.visualViewport?.addEventListener("scroll", refit);

document.addEventListener("click", (event) => {
  if (event.target.closest?.("#new-reading > summary")) {
    event.preventDefault();
    open();
    painted(seal);
  } else if (event.target.closest?.(".pad.over :is(.close, [data-kept])")) {
    event.preventDefault();
    close();
  }
});

// A second tap on Save, or on ×, was not meant for what came under the finger as the pad went.
let tap = null;
document.addEventListener("click", (event) => {
  const { target, clientX: x, clientY: y, timeStamp: at, detail } = event;
  if (target.closest?.(".pad.over")) {
    tap = detail ? { x, y, at } : null; // a key has no place
  } else if (tap && detail && at - tap.at < TWICE && Math.hypot(x - tap.x, y - tap.y) < NEAR) {
    event.preventDefault();
    event.stopImmediatePropagation();
  }
}, true);

// What lacks its CCT or Duv is no reading: it is not kept for the link, only to be refused later.
document.addEventListener("submit", (event) => {
  const form = event.target.closest(".pad form");
  if (!form || link.lost === null) return;
  const empty = ["cct", "duv"].map((name) => form.elements.namedItem(name)).find((field) => !field.value.trim());
  if (!empty) return;
  event.preventDefault();
  form.dataset.lacks = "";
  form.querySelector(".pad-answer").textContent = `${empty.labels[0].textContent.trim()} is empty. Type what the meter reads.`;
  empty.focus();
}, true);
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && shown()?.matches(":not(:modal)")) close(); // before it is sealed no cancel comes
});
document.addEventListener("cancel", (event) => {
  if (event.target !== shown()) return;
  event.preventDefault();
  close();
}, true);
document.addEventListener("close", (event) => {
  if (event.target === pad() && part().open) close(); // by the browser's own way back
}, true);

// What waits for the link is in the list, and said in the band: the pad goes as it does once it was sent.
document.addEventListener("advisor:kept", () => {
  const form = shown()?.querySelector("form");
  if (form && kept(form)) close();
});

// What is folded is named with what stands in it now, as the laptop named it when it made the page.
function folded(form) {
  const [level, modifier] = ["level", "modifier"].map((field) => form.elements.namedItem(field)?.value.trim() ?? "");
  const summary = form.elements.namedItem("level")?.closest("details")?.querySelector("summary");
  const percent = level.match(/^([\d.,]+)\s*%?$/)?.[1];
  const now = `Lux, ${percent ? `level ${percent} %` : "level"}, ${modifier || "modifier"}`;
  if (summary && summary.textContent !== now) summary.textContent = now;
}

const where = () => shown()?.querySelector(".pad-answer");

function address() {
  const form = shown()?.querySelector("form");
  if (!form) return null;
  const query = new URLSearchParams([...new FormData(form)].filter(([field]) => !["tap", "token"].includes(field)));
  if (!query.get("cct").trim() || !query.get("duv").trim()) {
    if (!("lacks" in form.dataset)) where().textContent = "";
    return null;
  }
  return `${form.dataset.answer}?${query}`;
}

const { ask, soon } = asking({
  address,
  show: (html) => {
    const place = where();
    if (place && place.innerHTML !== html) place.innerHTML = html;
  },
  silence: () => {
    const words = link.lost === null ? "No answer yet. Save keeps it." : "OFFLINE. Save keeps it here.";
    if (where()) where().textContent = words;
  },
});
document.addEventListener("input", (event) => {
  const form = event.target.closest?.(".pad.over form");
  if (!form) return;
  unmark(form);
  delete form.dataset.lacks;
  folded(form);
  soon();
});
document.addEventListener("reset", (event) => {
  if (!event.target.matches(".pad form")) return;
  event.target.querySelector(".pad-answer").textContent = "";
  setTimeout(() => { // once it is empty
    name();
    folded(event.target);
  });
});

// It came back refused, or what was typed before a reload is in it again.
if (part()?.open) {
  open();
  seal();
} else {
  name();
}
painted(() => idly(prepare));
