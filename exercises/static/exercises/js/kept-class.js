/**
 * What the phone was told of its classes, so that a page opens without the network. After a class
 * only the person's own results stay.
 */
import { run } from "./database.js";
import { forgetNotes } from "./small-notes.js";

const KEEPS_MS = 30 * 24 * 3600 * 1000;
// no class lasts longer: a phone that never heard of its end takes it for over
const LASTS_MS = 48 * 3600 * 1000;

/**
 * What may stay on the phone of what the server told: everything during a class, own results after
 * it.
 */
export function toKeep(told, now) {
  const over = told.state === "closed" || now - (told.kept_at ?? now) > LASTS_MS;
  return {
    ...told,
    ...(over
      ? {
          stamp: "",
          stations: [],
          tasks: [],
          cautions: "",
          people: told.people.map(({ id, name }) => ({ id, name })),
        }
      : {}),
    kept_at: told.kept_at ?? now,
  };
}

/** Keeps what was told of a class. */
export async function remember(told, now = Date.now()) {
  if (told.state === "closed") forgetNotes(`typed ${told.code} `);
  try {
    await run("classes", "readwrite", (store) => store.put(toKeep({ ...told, kept_at: now }, now)));
  } catch {
    return; // refused or full: the page goes on while it is open
  }
}

/** What was kept of a class, or undefined. */
export async function recall(code, now = Date.now()) {
  try {
    const kept = await run("classes", "readonly", (store) => store.get(code));
    return kept && toKeep(kept, now);
  } catch {
    return undefined;
  }
}

/** What was kept of all classes; those that are over are stripped, those of long ago forgotten. */
export async function recallAll(now = Date.now()) {
  try {
    const all = await run("classes", "readonly", (store) => store.getAll());
    for (const one of all) {
      const isOld = now - one.kept_at > KEEPS_MS;
      await run("classes", "readwrite", (store) =>
        isOld ? store.delete(one.code) : store.put(toKeep(one, now)),
      );
      if (now - one.kept_at > LASTS_MS) forgetNotes(`typed ${one.code} `);
    }
    return all.filter((one) => now - one.kept_at <= KEEPS_MS);
  } catch {
    return [];
  }
}
