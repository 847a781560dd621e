/** A station: where to stand, and its tasks. It fills its own view. */
import { saidTo, tasksAt } from "./class-state.js";
import { find } from "./dom.js";
import { doneWords, row } from "./rows.js";
import { go } from "./views.js";

/** Shows a station. */
export function showStation(state, { code, name, mark }) {
  find("station-code").textContent = code;
  find("station-name").textContent = name;
  find("station-mark").textContent = mark;
  const rows = tasksAt(state, code).map((task) =>
    row(task.label, saidTo({ ...state, task }).prompt, doneWords(state, [task]), () => {
      location.hash = `${code}/${task.label}`;
    }),
  );
  find("tasks").replaceChildren(...rows);
  go("station");
}
