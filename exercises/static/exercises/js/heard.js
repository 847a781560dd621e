/**
 * That people have read the cautions: said once on the phone, and told to the server when it can be
 * reached. Other cautions are to be read anew.
 */
import { note, noted } from "./small-notes.js";
import { patience } from "./sync.js";

const PATIENCE_MS = 10000;
const token = () => /(?:^|; )csrftoken=([^;]+)/.exec(document.cookie)?.[1] ?? "";

/** Whether these words were said to have been read here. */
export const hasHeard = (code, words) => noted(`heard ${code}`) === words;

/** Notes that they were, and tells the server. */
export async function sayHeard(code, words) {
  note(`heard ${code}`, words);
  note(`tell-heard ${code}`, "yes");
  await tellHeard(code);
}

/** Tells the server what it does not know yet. */
export async function tellHeard(code) {
  if (!noted(`tell-heard ${code}`)) return;
  try {
    const answer = await fetch(`/c/${code}/heard/`, {
      method: "POST",
      headers: { "X-CSRFToken": token() },
      signal: patience(PATIENCE_MS),
    });
    if (answer.ok || answer.status < 500) note(`tell-heard ${code}`, "");
  } catch {
    return; // no signal: the next refresh tells it
  }
}
