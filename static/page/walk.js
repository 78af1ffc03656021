// The order of the heads is dragged by its grips, and kept at once, as each tap on a button is: what lies under
// Start is never an order that nobody kept.
const form = document.querySelector("#walk form");
const list = form?.querySelector("ol");

// The other row moves, so that the held one keeps its pointer, and its focus.
function pass(row, other) {
  if (other === row.previousElementSibling) row.after(other);
  else row.before(other);
}

function keep() {
  const walk = form.elements.namedItem("walk");
  const order = [...list.children].map((row) => row.dataset.number).join("-");
  if (order === walk.value) return;
  walk.value = order;
  form.requestSubmit();
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
    keep();
  };
  grip.addEventListener("pointermove", move);
  grip.addEventListener("lostpointercapture", drop, { once: true });
}

if (list) {
  for (const grip of list.querySelectorAll(".grip")) grip.hidden = false;
  list.addEventListener("pointerdown", drag);
}
