/** The form of one task: number pad, choices, and the questions before sending. It only touches its own part of the page. */
import { isShort, parseBearing } from "./bearing.js";

const find = (name) => document.querySelector(`[data-${name}]`);

function button(text, act, label = "") {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = text;
  if (label) made.setAttribute("aria-label", label);
  made.addEventListener("click", act);
  return made;
}

/**
 * Wires the form.
 * @param {(answer: {text: string, mils: boolean}) => void} onAnswer called with an answer that the person stands by
 */
export function readingForm(onAnswer) {
  const input = find("reading");
  let task = null;
  let chosen = "";
  const quiet = () => { find("question").hidden = true; find("question-do").hidden = true; };
  const type = (text) => { quiet(); input.value += input.value.length < 4 ? text : ""; };
  find("pad").replaceChildren(
    ...["1", "2", "3", "4", "5", "6", "7", "8", "9"].map((digit) => button(digit, () => type(digit))),
    button("Clear", () => { quiet(); input.value = ""; }), button("0", () => type("0")),
    button("⌫", () => { quiet(); input.value = input.value.slice(0, -1); }, "Delete the last digit"),
  );
  for (const made of find("pad").querySelectorAll("button")) if (made.textContent === "Clear") made.className = "word";

  const ask = (question, answers) => {
    find("question").textContent = question;
    find("question").hidden = false;
    find("question-do").replaceChildren(...answers.map(([text, act]) => Object.assign(button(text, act), { className: "button button-quiet" })));
    find("question-do").hidden = !answers.length;
  };
  const give = (text, mils = false) => {
    if (find("send").disabled) return; // a second tap is not a second attempt
    find("send").disabled = true;
    quiet();
    onAnswer({ text, mils });
  };
  const submit = () => {
    if (task.widget === "target") {
      if (chosen) give(chosen);
      else ask("Choose a target first.", []);
      return;
    }
    const text = input.value.trim();
    const parsed = parseBearing(text);
    if (parsed.error) ask(parsed.error, []);
    else if (parsed.mils !== undefined) ask(`${text} is more than 360. Did you read the scale in mils?`, [["Yes, mils", () => give(text, true)], ["No, change it", () => { quiet(); input.value = ""; }]]);
    else if (isShort(text)) ask(`Three digits, please. Is it ${text.padStart(3, "0")}, or is a digit missing?`, [[`It is ${text.padStart(3, "0")}`, () => give(text.padStart(3, "0"))], ["Change it", quiet]]);
    else give(text);
  };
  find("entry").addEventListener("submit", (event) => { event.preventDefault(); submit(); });
  input.addEventListener("input", quiet);

  return {
    /** Shows a task, empty or with what was typed before. */
    show(next, typed = "") {
      task = next;
      chosen = "";
      quiet();
      find("send").disabled = false;
      input.value = typed;
      find("bearing").hidden = task.widget !== "bearing";
      find("north").textContent = `° ${task.north}`;
      const choices = (task.choices ?? []).map(({ code, name }) => button(`${code}  ${name}`, (event) => {
        chosen = code;
        quiet();
        for (const other of find("choices").children) other.setAttribute("aria-pressed", String(other === event.currentTarget));
      }));
      for (const choice of choices) choice.setAttribute("aria-pressed", "false");
      find("choices").replaceChildren(...choices);
    },
    /** Takes an answer again after one that could not be kept. */
    ready() { find("send").disabled = false; },
    /** What is typed at the moment. */
    typed: () => input.value,
  };
}
