// What was done here to a head, and waits for the link, settles what its page asked for: the laptop made that page
// before. What was asked steps back until the page is renewed, and what is up now stands in its place.
import { make } from "./waiting.js";

const shownBy = new WeakMap(); // parts, each with the entry by which it stepped back
const bands = new WeakMap(); // bands, with the state that their sign tells of

const action = ({ body }) => body.find(([field]) => field === "action")?.[1];

// `kept` are those that have to wait for the link, `sent` those that were sent since the page was shown, `before` those
// that were sent since it was made.
export function settle(kept, sent, before) {
  const part = document.querySelector("[data-head]");
  if (!part) return;
  const entry = kept.findLast((one) => one.state === "waiting" && !one.again && one.settles === part.dataset.head)
    ?? before.findLast((one) => one.settles === part.dataset.head)
    ?? sent.find((one) => one.key === shownBy.get(part)?.key);
  sign(part.querySelector(".band .state"), entry);
  part.toggleAttribute("data-settled", Boolean(entry));
  part.querySelector(".settled")?.remove();
  if (!entry) {
    shownBy.delete(part);
    return;
  }
  shownBy.set(part, entry);
  const all = [...before, ...kept];
  const since = all.slice(all.indexOf(entry) + 1).some(({ action: to }) => to === `/sources/${entry.settles}/reading`);
  const lines = upNow(entry, since).map((words) => make("p", { className: "lead" }, words));
  part.querySelector("h1").after(make("div", { className: "settled" }, ...lines));
}

// What is up by what was done, and what comes next unless it was `read` since; nothing where no gel is concerned.
function upNow(entry, read) {
  if (action(entry) === "clear") return ["Nothing hangs."];
  if (!entry.hangs) return [];
  const up = `Up now: ${entry.hangs}.`;
  if (action(entry) === "hung") return read ? [up] : [up, "Meter it with the gel on."];
  return action(entry) === "confirm" ? [up] : [];
}

// A head where something hangs unread is to be metered; else it is done.
function sign(place, entry) {
  if (!place) return;
  if (!bands.has(place)) bands.set(place, place.className);
  place.className = entry ? `state ${action(entry) === "hung" && entry.hangs ? "meter" : "nothing"}` : bands.get(place);
}
