/** Sends what waits in the outbox and reports what the server said. It only sends. */
import { forget, waiting } from "./outbox.js";
import { say } from "./words.js";

const MOST = 50;
// a stalled request must not hold up those after it; what it carried is sent again
const PATIENCE_MS = 10000;
// halved when a batch does not get through in time: a slow link takes less at once
let batchSize = MOST;
let running = null;

/**
 * A signal that ends a request after a time. AbortSignal.timeout is missing on phones before 2022.
 */
export function patience(milliseconds) {
  const control = new AbortController();
  setTimeout(() => control.abort(), milliseconds);
  return control.signal;
}

/**
 * The token that shows the server that this is its own page; the server gives it with the state.
 */
const token = () => /(?:^|; )csrftoken=([^;]+)/.exec(document.cookie)?.[1] ?? "";

/**
 * What may be told by now of this phone's readings of some tasks.
 * @returns {Promise<object[] | null>} feedback; null where the server does not answer: it tells it
 *   with the state later
 */
export async function askShown(code, tasks) {
  const asked = new URLSearchParams(tasks.map((task) => ["task", task]));
  try {
    const response = await fetch(`/c/${code}/shown/?${asked}`, { signal: patience(PATIENCE_MS) });
    return response.ok ? (await response.json()).shown : null;
  } catch {
    return null;
  }
}

/** Whether the server has a reading or a reply, or never has a use for it, by its outcome. */
export const isTaken = ({ status }) => ["stored", "again", "useless"].includes(status);

/**
 * Sends every waiting reading of a class. Calls that overlap share one run.
 * @returns {Promise<{outcomes: object[], trouble: string}>} one outcome a reading, and what stood in
 *   the way, empty when all went through
 */
export function send(code) {
  running ??= sendAll(code).finally(() => {
    running = null;
  });
  return running;
}

/** Sends some readings: what the server said of each, or `trouble` in words. */
async function sendBatch(code, batch) {
  const readings = batch.map(({ code: _, made: __, ...reading }) => reading);
  try {
    const response = await fetch(`/c/${code}/readings/`, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token() },
      body: JSON.stringify({ readings }),
      signal: patience(PATIENCE_MS),
    });
    if (!response.ok) return { trouble: await refusal(response) };
    const answer = await response.json();
    if (!Array.isArray(answer.readings)) throw new Error("an answer, but not of this server");
    return { outcomes: answer.readings };
  } catch (error) {
    if (error.name === "AbortError") batchSize = Math.max(1, Math.floor(batchSize / 2));
    return { trouble: say("No connection.") };
  }
}

/** Why the server took nothing, in words. */
async function refusal(response) {
  if (response.status >= 500) return say("The server is not ready.");
  try {
    return (await response.json()).message;
  } catch {
    return say("The server refused. Reload the page.");
  }
}

async function sendAll(code) {
  const outcomes = [];
  const tried = new Set();
  for (;;) {
    const batch = (await waiting(code)).filter(({ id }) => !tried.has(id)).slice(0, batchSize);
    if (!batch.length) return { outcomes, trouble: "" };
    const answer = await sendBatch(code, batch);
    if ("trouble" in answer) return { outcomes, trouble: answer.trouble };
    for (const { id } of batch) tried.add(id);
    for (const outcome of answer.outcomes) {
      if (isTaken(outcome)) await forget(outcome.id); // others stay, and the person is told why
    }
    outcomes.push(...answer.outcomes);
  }
}

/**
 * Tells the server which lessons a person did at home, as `{person, lessons}`.
 * @returns {Promise<object | null>} `home` as it is kept, or `trouble` in words where it is refused
 *   for good; null where it may be taken later
 */
export async function tellAtHome(code, wish) {
  try {
    const response = await fetch(`/c/${code}/at-home/`, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token() },
      body: JSON.stringify(wish),
      signal: patience(PATIENCE_MS),
    });
    if (response.status === 400) return { trouble: await refusal(response) };
    return response.ok ? await response.json() : null;
  } catch {
    return null;
  }
}

/**
 * Lets this phone speak again for people whose cookie it lost, by their personal codes.
 * @returns {Promise<boolean>} whether somebody is known again
 */
export async function goOn(code, personalCodes) {
  let known = false;
  for (const personal of personalCodes) {
    const answer = await fetch(`/c/${code}/other-phone/`, {
      method: "POST",
      headers: { "X-CSRFToken": token() },
      body: new URLSearchParams({ personal_code: personal }),
      signal: patience(PATIENCE_MS),
    });
    known = (answer.ok && answer.redirected) || known;
  }
  return known;
}
