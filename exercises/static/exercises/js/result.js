/**
 * What a reading was worth, or a hint, or that it is kept: it only fills its own part of the page.
 */
import { drawn, find, text } from "./dom.js";
import { say } from "./words.js";

function outcome(feedback) {
  const list = text("dl", "", "outcome");
  for (const [name, value, look] of [
    [feedback.own, feedback.reading, "you"],
    [say("The answer"), feedback.answer, "right"],
  ]) {
    const group = text("div", "");
    group.append(text("dt", name), text("dd", value, look));
    list.append(group);
  }
  return list;
}

function waitingWords(task, othersAreMissing, then) {
  if (then)
    return say("You will see how it went when you have faced it: task {task}.", { task: then });
  if (task.policy === "released") return say("You will see how it went when your instructor says.");
  if (othersAreMissing)
    return say("You will see how it went when everybody on this phone has read it.");
  return say("You will see how it went as soon as it is sent.");
}

/**
 * Fills the result.
 * @param {object} told `feedback` as the server gave it (a hint, an answer, or undefined), `task`,
 *   what was `typed`, and
 *   `othersAreMissing`, whether somebody on this phone has not read it yet, `then`, the label of a
 *   task that has to be done before the answer is told
 * @returns {"kept"|"hint"|"answer"}
 */
export function showOutcome({ feedback, task, typed, othersAreMissing, then }) {
  if (!feedback) {
    find("result-title").textContent = say("Kept");
    find("result").replaceChildren(
      ...(typed ? [text("p", say("Task {task}: {typed}.", { task: task.label, typed }))] : []),
      text("p", waitingWords(task, othersAreMissing, then)),
    );
    return "kept";
  }
  if (feedback.hint) {
    find("result-title").textContent = say("Look again");
    find("result").replaceChildren(
      text("p", feedback.own, "dim"),
      text("p", feedback.hint, "lead hint"),
    );
    return "hint";
  }
  find("result-title").textContent = feedback.credit;
  find("result").replaceChildren(
    ...(feedback.note ? [text("p", feedback.note, "dim")] : []),
    outcome(feedback),
    drawn(feedback.dial),
    text("p", feedback.error, "dim"),
    text("p", feedback.cause, "lead"),
    text("p", feedback.advice),
  );
  return "answer";
}
