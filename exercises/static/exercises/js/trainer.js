/**
 * The trainer: asks the tasks of a place one after the other, and judges answers by the predictions
 * that the page brought along.
 */
import { isShort, parseBearing } from "./bearing.js";
import { difference, likeliest } from "./compass.js";
import { find, text } from "./dom.js";
import { showOnly } from "./views.js";
import { say } from "./words.js";

const REACH_DEG = 4; // a number this near to a mistake's is taken for it
const SAME_DEG = 2; // a number this near to what the dial shows was read from it
const REACH_FACING_DEG = 25; // a thing named stands for a sector
const MOST_ASIDE = 3; // tries after which the answer is told anyhow
let compass = null;
let place = null;
let step = 0;
let tries = 0;

const task = () => place.tasks[step];

const STEPS = {
  sight: [
    say("Turn yourself until the travel arrow points at the landmark."),
    say(
      "Turn the housing until the marked end of the needle (its north end) lies in the orienting arrow.",
    ),
    say("Read the number at the index line: that is the magnetic bearing."),
    say("If another north is asked, use this place's sentence."),
  ],
  follow: [
    say("If the bearing is not magnetic, use this place's sentence first."),
    say("Turn the housing until the number stands at the index line."),
    say(
      "Turn yourself, and the compass with you, until the marked end of the needle (its north end) lies in the orienting arrow.",
    ),
    say("What lies ahead is the answer."),
  ],
  convert: [
    say("Say this place's sentence aloud."),
    say("Do the sum. Below 0 add 360, from 360 on take it away."),
  ],
  back: [
    say("Say the quarter of the circle: the way back lies in the opposite one."),
    say("Under 180 add 180, from 180 on take it away."),
  ],
};

/** The fields for an answer, empty. */
function showEntry({ widget, north_said: north }) {
  const isBearing = widget === "bearing";
  find("number").hidden = !isBearing;
  find("north").textContent = `°\u00a0${north}`;
  find("reading").value = "";
  find("check").textContent = isBearing ? say("Check") : say("This is it");
  find("check").hidden = false;
}

function ask() {
  const now = task();
  const saysNorth = now.kind === "convert" || now.north !== "magnetic";
  const values = { step: step + 1, number: place.tasks.length };
  tries = 0;
  find("step").textContent = say("{step} of {number}", values);
  find("ask").textContent = now.prompt;
  find("instrument").hidden = !now.needle;
  find("sliders").hidden = !now.needle;
  find("sentence").textContent = saysNorth ? now.sentence : "";
  showEntry(now);
  find("question").hidden = true;
  find("next").hidden = true;
  find("said").replaceChildren();
  find("steps").replaceChildren(...STEPS[now.kind].map((words) => text("li", words)));
  showOnly("task");
  compass.stand("task", { canTurnBody: true });
  if (now.needle) compass.begin({ ...place, facing: Math.floor(Math.random() * 360), number: 0 });
  find("ask").focus();
}

function question(words) {
  find("question").textContent = words;
  find("question").hidden = false;
}

/** Whether a number is right for where the person faces, but they do not face the landmark. */
function aimedAside(reading) {
  const off = difference(compass.facing(), task().true_deg);
  return (
    Math.abs(off) > SAME_DEG && Math.abs(difference(reading, task().answer_deg + off)) <= SAME_DEG
  );
}

/** The direction of what lies ahead, or null after asking for it. */
function facedTarget() {
  const landmark = compass.ahead();
  if (!landmark) question(say("Nothing stands there. Turn until something lies ahead."));
  return landmark && landmark.bearing_deg;
}

/** The bearing that was typed, or null after asking for a better one. */
function typedBearing() {
  const typed = find("reading").value;
  const whole = typed.trim().padStart(3, "0");
  const { error, mils, degrees } = parseBearing(typed);
  if (error) question(error);
  else if (mils !== undefined) question(say("Use a number from 0 to 360."));
  else if (isShort(typed)) question(say("Three digits, please: {whole}.", { whole }));
  else return degrees;
  return null;
}

/** Whether a direction is worth full credit; of things named only one is. */
function isRight(
  reading,
  { widget, true_deg: trueDeg, answer_deg: answer, full_credit_deg: full },
) {
  const [right, within] = widget === "target" ? [trueDeg, 0] : [answer, full];
  return Math.abs(difference(reading, right)) <= within;
}

function judge() {
  const now = task();
  const isTarget = now.widget === "target";
  find("question").hidden = true;
  const reading = isTarget ? facedTarget() : typedBearing();
  if (reading === null) return;
  tries += 1;
  if (isRight(reading, now)) tell(say("Right."), answerWords(now), true);
  else if (now.kind === "sight" && aimedAside(reading)) tellAside(now);
  else tellWrong(now, likeliest(now.wrongs, reading, isTarget ? REACH_FACING_DEG : REACH_DEG));
}

const answerWords = (now) => say("The answer is {answer}.", { answer: now.answer_said });

function tellAside(now) {
  const words = say(
    "Your number fits where the travel arrow points, but it does not point at the landmark yet.",
  );
  if (tries < MOST_ASIDE) tell(say("Look again"), words, false);
  else tellWrong(now);
}

/** A hint at first, then the answer with the likeliest mistake, where there is one. */
function tellWrong(now, mistake) {
  const unknown = say("Something does not fit. Go through the steps once more.");
  const cause = mistake ? `${mistake.cause} ${mistake.advice} ` : "";
  if (tries === 1) tell(say("Look again"), mistake?.hint ?? unknown, false);
  else tell(say("Not this time."), `${cause}${answerWords(now)}`, true);
}

function tell(title, words, isOver) {
  find("said").replaceChildren(text("p", title, "lead verdict"), text("p", words));
  find("next").hidden = !isOver;
  find("check").hidden = isOver;
  if (isOver) find("next").focus();
}

function next() {
  if (step + 1 < place.tasks.length) location.hash = `${place.code}/${step + 2}`;
  else {
    find("step").textContent = "";
    find("end").textContent = say("Done: {name}.", { name: place.name });
    showOnly("end");
    find("end").focus();
  }
}

/**
 * Wires the trainer's views.
 * @param {object[]} places as the page brought them
 * @param {object} instrument the compass that turns
 */
export function trainer(places, instrument) {
  compass = instrument;
  find("entry").addEventListener("submit", (event) => {
    event.preventDefault();
    judge();
  });
  find("next").addEventListener("click", next);
  return {
    /** Shows what an address asks for, `hill/3`, and tells whether there is such a task. */
    show(code, number) {
      place = places.find((other) => other.code === code) ?? null;
      step = Number(number) - 1;
      if (!place?.tasks[step]) return false;
      ask();
      return true;
    },
  };
}
