/** The line in the head of the class's page: whether everything has been sent. */
import { isRefused } from "./class-state.js";
import { find } from "./dom.js";
import { isFragile } from "./outbox.js";
import { say, sayMany } from "./words.js";

/** What stands there now. */
export const statusNow = () => find("status").textContent;

/** Says something there; the same words are not said to a screen reader twice. */
export function showStatus(words) {
  if (statusNow() !== words) find("status").textContent = words;
  find("status").toggleAttribute("data-at-rest", words === say("All readings sent."));
}

function unsentWords(number) {
  if (isFragile()) {
    return sayMany(
      "One reading on this page, not sent yet.",
      "{number} readings on this page, not sent yet.",
      number,
    );
  }
  return sayMany(
    "One reading kept on this phone, not sent yet.",
    "{number} readings kept on this phone, not sent yet.",
    number,
  );
}

/**
 * How it stands after sending, in words.
 * @param {object[]} outcomes what the server said of each reading that was sent
 * @param {string} trouble what stood in the way, or ""
 */
export function deliveryWords(state, outcomes, trouble) {
  const refused = outcomes.filter(isRefused).length;
  const left = state.unsent - refused;
  const remark = outcomes.find((outcome) => !isRefused(outcome) && outcome.message);
  if (left > 0) return `${unsentWords(left)} ${trouble}`;
  if (remark) return remark.message;
  if (refused) {
    return sayMany(
      "One reading not taken: see the list of stations.",
      "{number} readings not taken: see the list of stations.",
      refused,
    );
  }
  return state.answered.size ? say("All readings sent.") : "";
}
