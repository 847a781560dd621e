/** Sends what waits on this phone, takes over what the server says of it, and says the state. */
import { isRefused, markSent, markWaiting, reopen, takeFeedback } from "./class-state.js";
import { remember } from "./kept-class.js";
import { showNotes, showTroubles } from "./list-view.js";
import { forget, waiting } from "./outbox.js";
import { deliveryWords, showStatus } from "./status.js";
import { isTaken, send } from "./sync.js";

/** Marks what waits on this phone, and gives it. */
export async function readWaiting(state) {
  const readings = await waiting(state.code);
  markWaiting(state, readings);
  return readings;
}

/**
 * How readings of a class are delivered.
 * @param {object} told `onDelivered()` is called when the state knows what came of it, `tellTabs()`
 *   when the server has taken readings
 * @returns {() => Promise<void>} sends what waits
 */
export function delivery(state, { onDelivered, tellTabs }) {
  async function setAside(id, item) {
    await forget(id);
    item.remove();
    await deliver();
  }

  /** What the server has taken is kept, so that a page opened without the network knows it. */
  async function rememberSent(outcomes) {
    markSent(state, outcomes);
    await remember(state.courseClass);
  }

  async function deliver() {
    const { outcomes, shown, trouble } = await send(state.code);
    takeFeedback(state, shown);
    if (outcomes.length) await rememberSent(outcomes);
    const readings = await readWaiting(state);
    reopen(state, outcomes, readings);
    if (outcomes.length) showTroubles(state, outcomes.filter(isRefused), readings, setAside);
    showStatus(deliveryWords(state, outcomes, trouble));
    onDelivered();
    showNotes(state);
    const left = new Set(readings.map(({ id }) => id));
    if (outcomes.some((outcome) => isTaken(outcome) && !left.has(outcome.id))) tellTabs();
  }

  return deliver;
}
