// The list of what is not sent yet, under the status bar: a person sees it, and can discard what is in it.
const bar = document.getElementById("status");
let drawn = "[]";

export function show(entries, lasting, acts) {
  const now = JSON.stringify([entries, lasting]);
  if (now === drawn) return;
  drawn = now;
  const open = bar.querySelector("details:not(.missed)")?.open ?? false;
  bar.querySelector("details:not(.missed)")?.remove();
  if (!entries.length) return;
  const held = entries.filter(refused);
  const waiting = entries.filter((entry) => !refused(entry));
  const words = [];
  if (waiting.length) words.push(`${counted(waiting)} wait${waiting.length === 1 ? "s" : ""}`);
  if (held.length) words.push(`${counted(held)} ${held.length === 1 ? "was" : "were"} not taken`);
  // What was not taken is told in full where it belongs; elsewhere it is one line, and the fold has the rest.
  const telling = entries.filter((entry) => !refused(entry) || ofThisPage(entry));
  const names = telling.slice(0, 3).map(named).join(", ");
  const said = telling.length ? `: ${names}${telling.length > 3 ? ", …" : ""}` : "";
  const details = make("details", { className: held.length ? "held" : "" }, make("summary", {}, `${words.join(", ")}${said}`));
  if (!lasting) details.append(make("p", {}, "This browser keeps nothing through a reload: leave this page open until all is sent."));
  if (held.length) details.append(button("Send all again", acts.again)); // a long list is scrolled: above it it is in sight
  details.append(make("ul", { className: "list" }, ...entries.map((entry) => item(entry, acts))));
  details.open = open;
  bar.append(details);
}

// Sent once and not taken; it stays so while it is sent again.
const refused = ({ state, again }) => state === "held" || Boolean(again);

// Of a head that was removed the page is gone: it is told in full on none.
const ofThisPage = ({ action }) => `${action}/`.startsWith(`${bar.dataset.page ?? location.pathname}/`);

// What was not taken is told with what was typed: three readings of one head are told apart.
const named = (entry) => (refused(entry) && entry.told ? `${entry.words} (${entry.told})` : entry.words);

function item(entry, acts) {
  const words = [entry.words, entry.told && `: ${entry.told}`, refused(entry) ? `. Not taken: ${entry.says}.` : "."];
  const actions = make("div", { className: "actions" });
  if (refused(entry)) actions.append(button(entry.status === 401 ? "Join again" : "Open it", () => acts.open(entry.key), entry.words));
  actions.append(discarding(entry, acts));
  return make("li", {}, make("p", {}, words.filter(Boolean).join("")), actions);
}

function discarding(entry, acts) {
  const first = button("Discard", () => {
    const back = button("Keep it", () => back.parentElement.replaceChildren(first));
    const sure = button("Discard for good", () => acts.discard(entry.key), entry.words);
    first.parentElement.replaceChildren(sure, back);
    sure.focus();
  }, entry.words);
  return make("div", { className: "actions" }, first);
}

function button(words, act, about = "") {
  const made = make("button", { type: "button" }, words);
  if (about) made.append(make("span", { className: "unseen" }, `: ${about}`));
  made.addEventListener("click", act);
  return made;
}

export function make(tag, properties, ...children) {
  const made = Object.assign(document.createElement(tag), properties);
  made.append(...children);
  return made;
}

// “1 reading”, “2 readings, 1 change”
export function counted(entries) {
  const readings = entries.filter(({ action }) => /\/reading$/.test(action)).length;
  const one = (count, word) => count && `${count} ${word}${count === 1 ? "" : "s"}`;
  return [one(readings, "reading"), one(entries.length - readings, "change")].filter(Boolean).join(", ");
}
