/**
 * Readings that the server does not have yet, in the phone's own database, or in memory where that
 * is refused. It only stores.
 */
import { run } from "./database.js";

const fragile = new Map(); // what the database refused: it lives as long as this page
let lastRead = []; // what the database held when it was read last

/**
 * Keeps a reading; resolves to true once it would survive a flat battery, to false where it lives
 * only as long as the page.
 */
export async function keep(reading) {
  const made = Math.max(0, ...(await waiting(reading.code)).map((other) => other.made ?? 0)) + 1;
  try {
    await run("outbox", "readwrite", (store) => store.put({ ...reading, made }));
    return true;
  } catch {
    fragile.set(reading.id, { ...reading, made });
    return false;
  }
}

/** Forgets a reading that the server has. */
export async function forget(id) {
  fragile.delete(id);
  lastRead = lastRead.filter((reading) => reading.id !== id);
  try {
    await run("outbox", "readwrite", (store) => store.delete(id));
  } catch {
    return; // the database takes nothing at all: then there is nothing of it in there
  }
}

/**
 * The readings kept for a class, in the order in which they were made: `made` counts up, for clocks
 * step back.
 */
export async function waiting(code) {
  let kept = lastRead;
  try {
    kept = await run("outbox", "readonly", (store) => store.getAll());
    lastRead = kept;
  } catch {
    kept = lastRead; // refused at the moment: what was read of it before is still there
  }
  const all = new Map([...kept, ...fragile.values()].map((reading) => [reading.id, reading]));
  return [...all.values()]
    .filter((reading) => reading.code === code)
    .sort((a, b) => (a.made ?? 0) - (b.made ?? 0) || a.measured_at.localeCompare(b.measured_at));
}

/** Whether some readings would be lost with the page. */
export const isFragile = () => fragile.size > 0;
