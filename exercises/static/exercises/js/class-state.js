/**
 * What the phone knows of its class, and where the person is in it: one object, and the functions
 * that change or read it. Pure: they touch neither the page nor the phone's storage.
 */
import { DEGREES } from "./bearing.js";

/**
 * The state of a page that has heard nothing yet.
 * - `courseClass`: what the server told last, or what was kept of it.
 * - `person`, `task`: whose reading of which task is on the screen; `looking`: the reading whose
 *   result is, as `{key, typed}`, else null.
 * - `answered`: keys of readings that are kept here or there; `feedback`: key to what the server
 *   says of the reading; `replied`: the readings about which a question was answered, or passed
 *   over, on this phone; `labelled`: what somebody said on it truly happened; `unsent`: how many wait on this phone.
 * - `changes`: counts readings kept or sent; what the server told before one of them is out of
 *   date.
 * - `isKnown`: whether anything was told of the class, now or before.
 */
export const newState = (code) => ({
  code,
  courseClass: {
    code,
    stamp: "",
    state: "",
    name: "",
    cautions: "",
    safety: "",
    sheet: false,
    people: [],
    stations: [],
    tasks: [],
    sent: [],
    shown: [],
    rotation: null,
  },
  person: null,
  task: null,
  looking: null,
  answered: new Set(),
  feedback: new Map(),
  replied: new Set(),
  labelled: new Map(),
  unsent: 0,
  changes: 0,
  isKnown: false,
});

/** What names a person's reading of a task: also of feedback on it, and of the server's outcome. */
export const keyOf = ({ person, task }) => `${person} ${task}`;

/** The key of the person's reading of the task on the screen. */
export const keyNow = ({ person, task }) => keyOf({ person, task: task.label });

/**
 * The name under which a half-typed answer to a task is noted: in the unit of the compass, so that
 * with another compass nobody is left with figures of the one before.
 */
export const draftName = (state, label) =>
  `typed ${state.code} ${state.person} ${label} ${unitOf(state).code}`;

/** Takes over what the server told of the class, or what was kept of it. */
export function apply(state, courseClass) {
  Object.assign(state.courseClass, { rotation: null }, courseClass);
  state.isKnown = true;
  state.answered.clear();
  state.feedback.clear();
  for (const [person, task] of state.courseClass.sent) state.answered.add(keyOf({ person, task }));
  takeFeedback(state, state.courseClass.shown);
  const { people, tasks } = state.courseClass;
  if (!people.some(({ id }) => id === state.person)) state.person = people[0]?.id ?? null;
  if (state.task) state.task = tasks.find(({ label }) => label === state.task.label) ?? state.task;
}

/** Takes over what the server says of some readings. */
export function takeFeedback(state, feedback) {
  for (const entry of feedback) state.feedback.set(keyOf(entry), entry);
}

/** The same of what was asked for after sending, so that what is kept of the class knows it too. */
export function hearShown(state, feedback) {
  takeFeedback(state, feedback);
  state.courseClass.shown = [...state.feedback.values()];
}

/** Marks a reading as given: what was said of an earlier try does not answer this one. */
export function markGiven(state, reading) {
  state.answered.add(keyOf(reading));
  state.feedback.delete(keyOf(reading));
}

/** Whether something that waits on this phone is said about a reading, and is none itself. */
export const isReply = ({ about }) => about !== undefined;

/** Marks the readings and replies that wait on this phone. */
export function markWaiting(state, waiting) {
  for (const item of waiting) {
    if (item.cause) state.labelled.set(item.about, item.cause);
    else if (isReply(item)) state.replied.add(item.about);
    else markGiven(state, item);
  }
  state.unsent = waiting.length;
}

/** The question that is open about the reading on the screen, or undefined. */
export function questionNow({ feedback, looking, replied }) {
  const question = looking && feedback.get(looking.key)?.question;
  return question && !replied.has(question.about) ? question : undefined;
}

/** Notes what the server has taken, so that what is kept of the class knows it as well. */
export function markSent(state, outcomes) {
  state.changes += 1;
  for (const { person, task, graded } of outcomes) {
    if (graded) state.courseClass.sent.push([person, task]);
  }
  state.courseClass.shown = [...state.feedback.values()];
}

/** Whether the server will not take a reading. */
export const isRefused = ({ status }) => status === "refused" || status === "conflict";

/** Opens the tasks again whose reading was refused or does not count. */
export function reopen(state, outcomes, readings) {
  for (const outcome of outcomes) {
    const refused = isRefused(outcome) && readings.find(({ id }) => id === outcome.id);
    if (refused) state.answered.delete(keyOf(refused));
    if (outcome.task && !outcome.graded) state.answered.delete(keyOf(outcome));
  }
}

/** Whether a person's reading of a task is kept, here or there. */
export const isAnswered = ({ answered }, person, label) =>
  answered.has(keyOf({ person, task: label }));

/** Whether a person is through with a task: a hint asks for a second try. */
export const isDone = (state, person, label) =>
  isAnswered(state, person, label) && !state.feedback.get(keyOf({ person, task: label }))?.hint;

/** How many of some tasks everybody on this phone is through with. */
export const countDone = (state, labels) =>
  labels.filter((label) => state.courseClass.people.every(({ id }) => isDone(state, id, label)))
    .length;

/** The person with an id, or undefined. */
export const personWith = ({ courseClass }, id) =>
  courseClass.people.find((person) => person.id === id);

/** What the compass of the person on the screen is marked in. */
export const unitOf = (state) => personWith(state, state.person)?.unit ?? DEGREES;

/** The task on the screen as it is said to the person: in the units of their compass and choice. */
export const saidTo = ({ task, person }) => ({ ...task, ...task.said_to?.[person] });

/** The station with a code, or undefined. */
export const stationWith = ({ courseClass }, code) =>
  courseClass.stations.find((station) => station.code === code);

/**
 * The tasks that are asked at a station. What a phone kept before tasks could be asked at several
 * marks has the one.
 */
export const tasksAt = ({ courseClass }, code) =>
  courseClass.tasks.filter((task) => (task.at ?? [task.station]).includes(code));

/** Whether nothing but the person's own results is left of the class, as after its end. */
export const holdsResultsOnly = ({ courseClass }) =>
  courseClass.state === "closed" && !courseClass.tasks.length;
