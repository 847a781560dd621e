/** Reads a task aloud, where the phone can. */
import { language } from "./words.js";

/** Shows a button for it; `what()` is the text. */
export function readAloud(made, what) {
  made.hidden = !globalThis.speechSynthesis;
  made.addEventListener("click", () => {
    const saying = new SpeechSynthesisUtterance(what());
    saying.lang = language;
    speechSynthesis.cancel();
    speechSynthesis.speak(saying);
  });
}
