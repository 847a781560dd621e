/**
 * Tasks of a course are dragged into another order by their grips. The server gets the whole order,
 * and what the course was when it was shown. Without this script the buttons move a task.
 */
import { find } from "./dom.js";

const body = find("order").tBodies[0];
const form = find("new-order");

const rows = () => [...body.querySelectorAll("[data-row]")];
const numbers = () => rows().map((row) => row.dataset.row);
const middle = (row) => row.getBoundingClientRect().top + row.offsetHeight / 2;

/**
 * Lets the other rows pass a row that is dragged to a height. The row itself stays in the document,
 * for the grip would lose the pointer.
 */
function follow(row, y) {
  const all = rows();
  const place = all.indexOf(row);
  const passed = all.slice(place + 1).filter((other) => middle(other) < y);
  const overtaken = all.slice(0, place).filter((other) => middle(other) > y);
  row.before(...passed);
  row.after(...overtaken);
}

function send(row) {
  form.elements.order.value = numbers().join(" ");
  form.elements.task.value = row.dataset.row;
  form.requestSubmit();
}

/** One drag, from the finger's touching the grip to its letting go; Escape or a call ends it. */
function drag(row, grip, pointer) {
  const before = [...body.children];
  const was = numbers().join(" ");
  const end = new AbortController();
  const listen = (target, kind, act) => target.addEventListener(kind, act, { signal: end.signal });
  const finish = () => {
    end.abort();
    row.classList.remove("is-dragged");
  };
  const giveUp = () => {
    finish();
    body.replaceChildren(...before);
  };
  grip.setPointerCapture(pointer);
  row.classList.add("is-dragged");
  listen(grip, "pointermove", (event) => follow(row, event.clientY));
  listen(grip, "pointercancel", giveUp);
  listen(document, "keydown", (event) => event.key === "Escape" && giveUp());
  listen(grip, "pointerup", () => {
    finish();
    if (numbers().join(" ") !== was) send(row);
  });
}

for (const row of rows()) {
  const grip = row.querySelector("[data-grip]");
  grip.hidden = rows().length < 2;
  grip.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    event.preventDefault();
    drag(row, grip, event.pointerId);
  });
}
