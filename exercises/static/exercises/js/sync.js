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
 * Sends every waiting reading of a class. Calls that overlap share one run.
 * @returns {Promise<{outcomes: object[], shown: object[], trouble: string}>} one outcome a reading,
 *   the feedback that may be
 *   shown by now, and what stood in the way, empty when all went through
 */
export function send(code) {
  running ??= sendAll(code).finally(() => {
    running = null;
  });
  return running;
}

async function sendAll(code) {
  const outcomes = [];
  const shown = [];
  const tried = new Set();
  for (;;) {
    const batch = (await waiting(code)).filter(({ id }) => !tried.has(id)).slice(0, batchSize);
    if (!batch.length) return { outcomes, shown, trouble: "" };
    let answer;
    let told;
    try {
      answer = await fetch(`/c/${code}/readings/`, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-CSRFToken": token() },
        body: JSON.stringify({
          readings: batch.map(({ code: _, made: __, ...reading }) => reading),
        }),
        signal: patience(PATIENCE_MS),
      });
      told = answer.ok ? await answer.json() : null;
      if (answer.ok && !Array.isArray(told.readings)) {
        throw new Error("an answer, but not of this server");
      }
    } catch (error) {
      if (error.name === "AbortError") batchSize = Math.max(1, Math.floor(batchSize / 2));
      return { outcomes, shown, trouble: say("No connection.") };
    }
    if (!told) {
      return {
        outcomes,
        shown,
        trouble: answer.status < 500 ? await said(answer) : say("The server is not ready."),
      };
    }
    for (const { id } of batch) tried.add(id);
    for (const outcome of told.readings) {
      // others stay, and the person is told why
      if (outcome.status === "stored" || outcome.status === "again") await forget(outcome.id);
      outcomes.push(outcome);
    }
    shown.push(...told.shown);
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

async function said(answer) {
  try {
    return (await answer.json()).message;
  } catch {
    return say("The server refused. Reload the page.");
  }
}
