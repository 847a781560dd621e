/** Sends what waits on this phone, takes over what the server says of it, and says the state. */
import { hearShown, isRefused, markSent, markWaiting, reopen } from "./class-state.js";
import { remember } from "./kept-class.js";
import { showNotes, showTroubles } from "./list-view.js";
import { forget, waiting } from "./outbox.js";
import { deliveryWords, showStatus } from "./status.js";
import { askShown, isTaken, send } from "./sync.js";

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
  const telling = new Set(); // tasks of which more may be told than was heard
  let hearing = null;

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

  /** Asks what may be told of the tasks of which the server said that something may be. */
  async function hear() {
    while (telling.size) {
      const [tasks, { changes }] = [[...telling], state];
      const shown = await askShown(state.code, tasks);
      if (!shown) return;
      if (state.changes !== changes) continue; // out of date by what was given meanwhile
      for (const task of tasks) telling.delete(task);
      hearShown(state, shown);
      await remember(state.courseClass);
      onDelivered();
    }
  }

  async function deliver() {
    const { outcomes, trouble } = await send(state.code);
    if (outcomes.length) await rememberSent(outcomes);
    const readings = await readWaiting(state);
    reopen(state, outcomes, readings);
    if (outcomes.length) showTroubles(state, outcomes.filter(isRefused), readings, setAside);
    showStatus(deliveryWords(state, outcomes, trouble));
    onDelivered();
    showNotes(state);
    const left = new Set(readings.map(({ id }) => id));
    if (outcomes.some((outcome) => isTaken(outcome) && !left.has(outcome.id))) tellTabs();
    for (const { tells } of outcomes) if (tells) telling.add(tells);
    hearing ??= hear().finally(() => {
      hearing = null;
    });
    await hearing;
  }

  return deliver;
}
