// The order of the heads is dragged by its grips, or moved with its buttons; it is kept with Save. Without script
// each button keeps it at once.
const form = document.querySelector("#walk form");
const list = form?.querySelector("ol");

function told() {
  const rows = [...list.children];
  form.elements.namedItem("walk").value = rows.map((row) => row.dataset.number).join("-");
  rows.forEach((row, k) => {
    row.querySelector("[value$=up]").disabled = k === 0;
    row.querySelector("[value$=down]").disabled = k === rows.length - 1;
  });
  form.querySelector("[data-save]").hidden = false;
}

// The other row moves, so that the held one keeps its pointer, and its focus.
function pass(row, other) {
  if (other === row.previousElementSibling) row.after(other);
  else row.before(other);
}

function step(button) {
  const row = button.closest("li");
  pass(row, button.value.endsWith("-up") ? row.previousElementSibling : row.nextElementSibling);
  told();
  if (button.disabled) row.querySelector("button:not(:disabled)").focus({ preventScroll: true });
  row.scrollIntoView({ block: "nearest" });
}

function drag(event) {
  const row = event.target.closest(".grip")?.parentElement;
  if (!row) return;
  event.preventDefault();
  const grip = event.target;
  grip.setPointerCapture(event.pointerId);
  row.classList.add("held");
  const move = ({ clientY }) => {
    const [before, after] = [row.previousElementSibling, row.nextElementSibling];
    const middle = (other) => other.getBoundingClientRect().top + other.offsetHeight / 2;
    if (before && clientY < middle(before)) pass(row, before);
    else if (after && clientY > middle(after)) pass(row, after);
  };
  const drop = () => {
    grip.removeEventListener("pointermove", move);
    row.classList.remove("held");
    told();
  };
  grip.addEventListener("pointermove", move);
  grip.addEventListener("lostpointercapture", drop, { once: true });
}

if (list) {
  for (const grip of list.querySelectorAll(".grip")) grip.hidden = false;
  for (const button of list.querySelectorAll("button")) button.type = "button"; // Save keeps it
  list.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (button) step(button);
  });
  list.addEventListener("pointerdown", drag);
}
