/**
 * One task of one person: the question, where to stand, the legs of a walk. It fills its own view.
 */
import { about } from "./about.js";
import { draftName, keyNow, personWith, saidTo, stationWith, unitOf } from "./class-state.js";
import { find, text } from "./dom.js";
import { waitsFor } from "./next-step.js";
import { noted } from "./small-notes.js";
import { go } from "./views.js";
import { say } from "./words.js";

function waitWords(state) {
  const task = waitsFor(state);
  return task ? say("First do task {task}: this one goes on with your number.", { task }) : "";
}

/**
 * Shows the task that the person has chosen, with what they have typed of an answer.
 * @param {object} form the reading form
 */
export function showTask(state, form) {
  const task = saidTo(state);
  const hint = state.feedback.get(keyNow(state))?.hint ?? waitWords(state);
  const { mark } = stationWith(state, task.station);
  const values = { station: task.station, task: task.label };
  find("hint-again").textContent = hint;
  find("hint-again").hidden = !hint;
  find("task-label").textContent = say("{station}, task {task}", values);
  find("ask").textContent = task.prompt;
  find("angle").textContent = task.angle ?? "";
  find("angle").hidden = !task.angle;
  find("stand-mark").textContent = task.marks ? task.marks.join("; ") : mark;
  find("stand").hidden = !task.needle;
  find("away").hidden = !task.needle || Boolean(task.legs) || Boolean(hint);
  form.show(task, noted(draftName(state, task.label)), unitOf(state));
  showWalk(state);
  find("about").replaceChildren(...about(task.words));
  go("task");
}

function legWords(leg, pace) {
  if (!pace || leg.counted) return leg.text;
  const paces = Math.round(leg.metres / pace);
  return say("{leg}: {paces} of your double paces", { leg: leg.text, paces });
}

/** The legs of a walk, each with the person's own double paces where these were counted. */
export function showWalk(state) {
  const { code, person } = state;
  const task = saidTo(state);
  const pace = personWith(state, person)?.pace_m;
  const legs = (task.legs ?? []).map((leg) => text("li", legWords(leg, pace)));
  find("walk").hidden = !task.legs;
  find("legs").replaceChildren(...legs);
  find("paces").textContent = pace
    ? say("Count your paces again")
    : say("Count your paces over a taped line first");
  const back = encodeURIComponent(`${task.station}/${task.label}`);
  find("paces").href = `/c/${code}/pace/?to=${back}`;
}
