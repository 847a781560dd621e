/** The rows of the class's lists: a sign, a name, how far it is done. */
import { countDone } from "./class-state.js";
import { button, text } from "./dom.js";
import { say } from "./words.js";

/** A row that can be tapped. */
export function row(sign, name, done, act) {
  const item = document.createElement("li");
  const made = button("", act);
  made.append(
    text("span", sign, "station-code"),
    text("span", name, "grow"),
    text("span", done, "done"),
  );
  item.append(made);
  return item;
}

/** How many of some tasks are done, in words. */
export function doneWords(state, tasks) {
  const labels = tasks.map(({ label }) => label);
  const done = countDone(state, labels);
  return done === labels.length
    ? say("✓ done")
    : say("{done} of {number}", { done, number: labels.length });
}
