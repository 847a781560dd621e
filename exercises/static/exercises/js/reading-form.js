/**
 * The form of one task: number pad, choices, and the questions before sending. It only touches its
 * own part of the page.
 */
import { DEGREES, isShort, parseBearing } from "./bearing.js";
import { button, find } from "./dom.js";
import { language, say } from "./words.js";

const MOST_TYPED = 6; // digits and a decimal mark: 074.5, or 1315 in mils
const DECIMAL = (0.5).toLocaleString(language).replace(/\d/g, "") || ".";
const LEAST_FIGURES = 8; // of a grid reference: 4293 0221 names a square of 10 m

/**
 * Whether a reference of eight or ten figures alone lies on the map, which begins and ends at some
 * kilometres; anything else is left to the server.
 */
function isOnMap(written, [leastEast, mostEast, leastNorth, mostNorth]) {
  const figures = written.match(/^E?\s*(\d{4,5})[\s,/]*N?\s*(\d{4,5})$/i);
  if (!figures || figures[1].length !== figures[2].length) return true;
  const within = (text, least, most) => {
    const km = Number(text.slice(0, 2));
    return (km - (least % 100) + 100) % 100 <= most - least;
  };
  return within(figures[1], leastEast, mostEast) && within(figures[2], leastNorth, mostNorth);
}

function quiet() {
  find("question").hidden = true;
  find("question-do").hidden = true;
}

/** Asks below the form; `answers` are pairs of words and what they do. */
function ask(question, answers = []) {
  const choices = answers.map(([words, act]) =>
    button(words, act, { className: "button button-quiet" }),
  );
  find("question").textContent = question;
  find("question").hidden = false;
  find("question-do").replaceChildren(...choices);
  find("question-do").hidden = !answers.length;
}

function put(form, text) {
  quiet();
  form.input.value = text;
  form.onTyped(text);
}

/** One decimal mark, after a digit. */
function putPoint(form) {
  const { value } = form.input;
  if (/^\d+$/.test(value) && value.length <= form.unit.digits) put(form, value + DECIMAL);
}

/** A needle is read to the degree at best; a sum or a protractor may give a part of one. */
function showPad(task) {
  find("clear").hidden = !task.needle;
  find("point").hidden = task.needle;
}

function fillPad(form) {
  const { input } = form;
  const key = (digit) =>
    button(digit, () => {
      if (input.value.length < MOST_TYPED) put(form, input.value + digit);
    });
  const clear = button(say("Clear"), () => put(form, ""), { className: "word clear" });
  clear.dataset.clear = "";
  const point = button(DECIMAL, () => putPoint(form), { label: say("Decimal point") });
  point.dataset.point = "";
  const label = say("Delete the last digit");
  const back = () => put(form, input.value.slice(0, -1));
  const erase = button("⌫", back, { label, className: "delete" });
  find("pad").replaceChildren(...[..."123456789"].map(key), clear, point, key("0"), erase);
}

/** Hands in an answer, once. */
function give(form, text, mils = false) {
  if (find("send").disabled) return; // a second tap is not a second attempt
  find("send").disabled = true;
  quiet();
  form.onAnswer({ text, mils, unit: form.unit.code });
}

/** What is wrong with a place that was written, or with none; "" where nothing is. */
function placeTrouble(task, written) {
  if (written.replace(/\D/g, "").length >= LEAST_FIGURES) {
    return isOnMap(written, task.sheet_km)
      ? ""
      : say("That is not on this map. East first, then north.");
  }
  if (written) {
    return say("A grid reference has eight figures: four for east, then four for north.");
  }
  return task.typed
    ? say("Choose a letter, or write a grid reference.")
    : say("Choose a target first.");
}

function submitChoice(form) {
  const written = form.task.typed ? form.place.value.trim() : "";
  const trouble = form.chosen ? "" : placeTrouble(form.task, written);
  if (trouble) ask(trouble);
  else give(form, form.chosen || written);
}

/** What is asked of a number that has too few digits for its unit. */
const shortWords = ({ digits }, whole) =>
  digits > DEGREES.digits
    ? say("Four digits, please. Is it {whole}, or is a digit missing?", { whole })
    : say("Three digits, please. Is it {whole}, or is a digit missing?", { whole });

function submitBearing(form) {
  const text = form.input.value.trim();
  const { error, mils } = parseBearing(text, form.unit);
  const whole = text.padStart(form.unit.digits, "0");
  if (error) ask(error);
  else if (mils !== undefined) {
    ask(say("{text} is more than 360. Did you read the scale in mils?", { text }), [
      [say("Yes, mils"), () => give(form, text, true)],
      [say("No, change it"), () => put(form, "")],
    ]);
  } else if (isShort(text, form.unit)) {
    ask(shortWords(form.unit, whole), [
      [say("It is {whole}", { whole }), () => give(form, whole)],
      [say("Change it"), quiet],
    ]);
  } else give(form, text);
}

function submit(form) {
  const task = form.missing();
  if (task) ask(say("First do task {task}: this one goes on with your number.", { task }));
  else if (form.task.widget === "bearing") submitBearing(form);
  else submitChoice(form);
}

/** Marks a choice, or none with "". */
function mark(form, chosen) {
  form.chosen = chosen;
  [...find("choices").children].forEach((choice, at) =>
    choice.setAttribute("aria-pressed", String(form.task.choices[at].code === chosen)),
  );
}

function showChoices(form) {
  const choices = (form.task.choices ?? []).map(({ code, name }) =>
    button(`${code}  ${name}`.trim(), () => {
      quiet();
      form.onTyped(code);
      form.place.value = "";
      mark(form, code);
    }),
  );
  find("choices").replaceChildren(...choices);
  find("choices").hidden = !choices.length;
  find("choices").classList.toggle("letters", Boolean(form.task.typed));
  mark(form, form.chosen);
}

function show(form, task, typed, unit) {
  const isBearing = task.widget === "bearing";
  form.task = task;
  form.unit = unit;
  form.chosen = (task.choices ?? []).some(({ code }) => code === typed) ? typed : "";
  quiet();
  find("send").disabled = false;
  form.input.value = isBearing ? typed : "";
  find("bearing").hidden = !isBearing;
  showPad(task);
  form.input.placeholder = "_".repeat(unit.digits);
  find("north").textContent = task.beside ?? `°\u00a0${task.north}`; // none in an older page's
  showChoices(form);
  find("written").hidden = !task.typed;
  form.place.value = task.typed && !form.chosen ? typed : "";
}

function listen(form) {
  const { input, place } = form;
  find("entry").addEventListener("submit", (event) => {
    event.preventDefault();
    submit(form);
  });
  input.addEventListener("input", () => {
    quiet();
    form.onTyped(input.value);
  });
  place.addEventListener("input", () => {
    quiet();
    mark(form, "");
    form.onTyped(place.value);
  });
}

/**
 * Wires the form.
 * @param {object} told `onAnswer({text, mils, unit})` is called with an answer that the person
 *   stands by, `onTyped(text)` whenever it changes; `missing()` gives the label of a task that has to be
 *   answered before, or nothing
 */
export function readingForm({ onAnswer, onTyped, missing }) {
  const form = {
    onAnswer,
    onTyped,
    missing,
    input: find("reading"),
    place: find("place"),
    task: null,
    unit: DEGREES,
    chosen: "",
  };
  fillPad(form);
  listen(form);
  return {
    /** Shows a task, empty or with what was typed before, to somebody with a compass of a unit. */
    show: (task, typed, unit) => show(form, task, typed, unit),
    /** Whether a number is half typed. */
    isBusy: () => Boolean(form.input.value || form.chosen || form.place.value),
  };
}
