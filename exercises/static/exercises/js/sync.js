/** Sends what waits in the outbox and reports what the server said. It only sends. */
import { forget, waiting } from "./outbox.js";

const BATCH = 50;
let running = null;

/**
 * Sends every waiting reading of a class. Calls that overlap share one run.
 * @returns {Promise<{outcomes: object[], trouble: string}>} one outcome a reading; `trouble` is empty when all went through
 */
export function send(code, csrf) {
  running ??= sendAll(code, csrf).finally(() => { running = null; });
  return running;
}

async function sendAll(code, csrf) {
  const outcomes = [];
  const tried = new Set();
  for (;;) {
    const batch = (await waiting(code)).filter(({ id }) => !tried.has(id)).slice(0, BATCH);
    if (!batch.length) return { outcomes, trouble: "" };
    let answer;
    try {
      answer = await fetch(`/c/${code}/readings/`, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-CSRFToken": csrf },
        body: JSON.stringify({ readings: batch.map(({ code: _, ...reading }) => reading) }),
      });
    } catch {
      return { outcomes, trouble: "No connection." };
    }
    if (!answer.ok) return { outcomes, trouble: answer.status < 500 ? await said(answer) : "The server is not ready." };
    const { readings } = await answer.json();
    for (const { id } of batch) tried.add(id);
    for (const outcome of readings) {
      if (outcome.status !== "refused") await forget(outcome.id); // refused: it stays, and the person is told why
      outcomes.push(outcome);
    }
  }
}

async function said(answer) {
  try {
    return (await answer.json()).message;
  } catch {
    return "The server refused. Reload the page.";
  }
}
