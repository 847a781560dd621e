/**
 * The form of one task: number pad, choices, and the questions before sending. It only touches its
 * own part of the page.
 */
import { isShort, parseBearing } from "./bearing.js";
import { button, find } from "./dom.js";
import { say } from "./words.js";

const MOST_TYPED = 6; // digits and a decimal mark: 074.5, or 1315 in mils
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

/**
 * Wires the form.
 * @param {object} told `onAnswer({text, mils})` is called with an answer that the person stands by,
 *   `onTyped(text)` whenever it changes; `missing()` gives the
 *   label of a task that has to be answered before, or nothing
 */
export function readingForm({ onAnswer, onTyped, missing }) {
  const input = find("reading");
  const place = find("place");
  let task = null;
  let chosen = "";
  const quiet = () => {
    find("question").hidden = true;
    find("question-do").hidden = true;
  };
  const put = (text) => {
    quiet();
    input.value = text;
    onTyped(text);
  };
  const type = (digit) => {
    if (input.value.length < MOST_TYPED) put(input.value + digit);
  };
  const key = (digit) => button(digit, () => type(digit));
  find("pad").replaceChildren(
    ...["1", "2", "3", "4", "5", "6", "7", "8", "9"].map(key),
    button(say("Clear"), () => put(""), { className: "word clear" }),
    key("0"),
    button("⌫", () => put(input.value.slice(0, -1)), {
      label: say("Delete the last digit"),
      className: "delete",
    }),
  );

  const ask = (question, answers) => {
    find("question").textContent = question;
    find("question").hidden = false;
    find("question-do").replaceChildren(
      ...answers.map(([text, act]) => button(text, act, { className: "button button-quiet" })),
    );
    find("question-do").hidden = !answers.length;
  };
  const give = (text, mils = false) => {
    if (find("send").disabled) return; // a second tap is not a second attempt
    find("send").disabled = true;
    quiet();
    onAnswer({ text, mils });
  };
  const submit = () => {
    if (missing()) {
      ask(say("First do task {task}: this one goes on with your number.", { task: missing() }), []);
      return;
    }
    if (task.widget !== "bearing") {
      const written = task.typed ? place.value.trim() : "";
      if (chosen) give(chosen);
      else if (
        written.replace(/\D/g, "").length >= LEAST_FIGURES &&
        !isOnMap(written, task.sheet_km)
      )
        ask(say("That is not on this map. East first, then north."), []);
      else if (written.replace(/\D/g, "").length >= LEAST_FIGURES) give(written);
      else
        ask(
          written
            ? say("A grid reference has eight figures: four for east, then four for north.")
            : task.typed
              ? say("Choose a letter, or write a grid reference.")
              : say("Choose a target first."),
          [],
        );
      return;
    }
    const text = input.value.trim();
    const parsed = parseBearing(text);
    const whole = text.padStart(3, "0");
    if (parsed.error) ask(parsed.error, []);
    else if (parsed.mils !== undefined)
      ask(say("{text} is more than 360. Did you read the scale in mils?", { text }), [
        [say("Yes, mils"), () => give(text, true)],
        [say("No, change it"), () => put("")],
      ]);
    else if (isShort(text))
      ask(say("Three digits, please. Is it {whole}, or is a digit missing?", { whole }), [
        [say("It is {whole}", { whole }), () => give(whole)],
        [say("Change it"), quiet],
      ]);
    else give(text);
  };
  find("entry").addEventListener("submit", (event) => {
    event.preventDefault();
    submit();
  });
  input.addEventListener("input", () => {
    quiet();
    onTyped(input.value);
  });
  const mark = (code) => {
    chosen = code;
    [...find("choices").children].forEach((choice, at) =>
      choice.setAttribute("aria-pressed", String(task.choices[at].code === code)),
    );
  };
  place.addEventListener("input", () => {
    quiet();
    mark("");
    onTyped(place.value);
  });

  return {
    /** Shows a task, empty or with what was typed before. */
    show(next, typed = "") {
      task = next;
      chosen = (task.choices ?? []).some(({ code }) => code === typed) ? typed : "";
      quiet();
      find("send").disabled = false;
      input.value = task.widget === "bearing" ? typed : "";
      find("bearing").hidden = task.widget !== "bearing";
      find("north").textContent = `°\u00a0${task.north}`;
      find("choices").replaceChildren(
        ...(task.choices ?? []).map(({ code, name }) =>
          button(`${code}  ${name}`.trim(), () => {
            quiet();
            onTyped(code);
            place.value = "";
            mark(code);
          }),
        ),
      );
      mark(chosen);
      find("choices").hidden = !find("choices").children.length;
      find("choices").classList.toggle("letters", Boolean(task.typed));
      find("written").hidden = !task.typed;
      place.value = task.typed && !chosen ? typed : "";
    },
    /** Whether a number is half typed. */
    isBusy: () => Boolean(input.value || chosen || place.value),
  };
}
