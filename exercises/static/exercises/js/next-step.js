/**
 * The rules of what comes next on the participant's page: where an address leads, whose turn it is
 * on a shared phone, what follows a result. Pure: they read the state, and class-page.js acts.
 */
import { isAnswered, keyNow, keyOf, saidTo, stationWith, tasksAt } from "./class-state.js";

/** The first person on this phone who has not read a task, or undefined. */
const openPerson = (state, label) =>
  state.courseClass.people.find(({ id }) => !isAnswered(state, id, label));

/** Whether somebody on this phone has not read a task yet. */
export const othersAreMissing = (state, label) => Boolean(openPerson(state, label));

/** The first person on this phone who may try a task again, or undefined. */
export const triesAgain = ({ courseClass, feedback }, label) =>
  courseClass.people.find(({ id }) => feedback.get(keyOf({ person: id, task: label }))?.hint);

/**
 * Whose turn it is at a task: who shares the phone and has not read yet comes before a person who
 * has.
 * @returns {number|null} the person's id
 */
export function turnAt(state, label) {
  const open = openPerson(state, label);
  return open && isAnswered(state, state.person, label) ? open.id : state.person;
}

/** Station and task of an address, as [code, label]; [""] where somebody spoilt it. */
export function readAddress(hash) {
  try {
    return decodeURIComponent(hash.slice(1)).split("/");
  } catch {
    return [""];
  }
}

/**
 * Where an address leads.
 * @param {string} hash with its #, as in `location.hash`: `#C/5` for a task, `#C` for a station
 * @returns {{view: "handover"|"list"}|{view: "station", station: object}|
 *   {view: "task", task: object, person: number}}
 */
export function leadsTo(state, hash) {
  const [code, label] = readAddress(hash);
  if (code === "hand-over") return { view: "handover" };
  const task = tasksAt(state, code).find((asked) => asked.label === label);
  if (task) return { view: "task", task, person: turnAt(state, label) };
  const station = stationWith(state, code);
  return station ? { view: "station", station } : { view: "list" };
}

/** Whether the person has a result of the task to see or to wait for; else the task is asked. */
export const hasResult = (state) =>
  state.feedback.has(keyNow(state)) || state.answered.has(keyNow(state));

/**
 * Whether the task can be asked: it cannot when its station was dropped meanwhile, or when nothing
 * but results is kept of a class that is over.
 */
export const canBeAsked = (state) => Boolean(stationWith(state, state.task.station));

/** The label of the task with whose number this one goes on, while the person has not given it. */
export function waitsFor(state) {
  const { after } = state.task;
  const isAsked = state.courseClass.tasks.some(({ label }) => label === after);
  return after && isAsked && !isAnswered(state, state.person, after) ? after : "";
}

/** The label of the task that has to be done before the answer of this one is told, or "". */
export function toldAfter(state) {
  const { policy, then } = state.task;
  return policy !== "released" && then && !isAnswered(state, state.person, then) ? then : "";
}

/**
 * What follows the result of a task: the next person at it, the next task at its station that
 * somebody has not read, or the list.
 * @returns {{person: number}|{address: string}} the address is "" for the list
 */
export function afterResult(state) {
  const { task, courseClass } = state;
  const other = openPerson(state, task.label);
  if (other && courseClass.tasks.some(({ label }) => label === task.label)) {
    return { person: other.id };
  }
  const open = courseClass.tasks
    .filter(({ station }) => station === task.station)
    .find(({ label }) => othersAreMissing(state, label));
  return { address: open ? `${task.station}/${open.label}` : "" };
}

/**
 * What a refresh may do to the view: fill the result anew, ask the task anew because its words have
 * changed, go where the address leads, or leave what stands there. A task stays while a number is
 * half typed, and until there is an answer to show.
 * @param {object} screen `view` that is shown, `isBusy` with a half-typed answer, `wasAsked` in
 *   these words before the refresh
 * @returns {"result"|"task"|"address"|"nothing"}
 */
export function afterRefresh(state, { view, isBusy, wasAsked }) {
  if (state.looking && view === "result") return "result";
  if (view !== "task" || !state.courseClass.tasks.includes(state.task)) return "address";
  if (saidTo(state).prompt !== wasAsked) return "task";
  return !isBusy && state.feedback.get(keyNow(state))?.credit ? "address" : "nothing";
}
