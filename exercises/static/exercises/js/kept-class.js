/**
 * What the phone was told of its classes, so that a page opens without the network. After a class
 * only the person's own results stay.
 */
import { run } from "./database.js";
import { forgetNotes } from "./small-notes.js";

const KEEPS_MS = 30 * 24 * 3600 * 1000;
// no class lasts longer: a phone that never heard of its end takes it for over
const LASTS_MS = 48 * 3600 * 1000;

/** What does not outlast a class. */
const stripped = ({ people }) => ({
  stamp: "",
  stations: [],
  tasks: [],
  cautions: "",
  safety: "",
  rotation: null,
  people: people.map(({ id, name }) => ({ id, name })),
});

/**
 * What may stay on the phone of what the server told: everything during a class, own results after
 * it.
 */
export function toKeep(courseClass, now) {
  const keptAt = courseClass.kept_at ?? now;
  const isOver = courseClass.state === "closed" || now - keptAt > LASTS_MS;
  return { ...courseClass, ...(isOver ? stripped(courseClass) : {}), kept_at: keptAt };
}

/** Keeps what was told of a class. */
export async function remember(courseClass, now = Date.now()) {
  const kept = toKeep({ ...courseClass, kept_at: now }, now);
  if (courseClass.state === "closed") forgetNotes(`typed ${courseClass.code} `);
  try {
    await run("classes", "readwrite", (store) => store.put(kept));
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

/** Strips what was kept of a class that is over, forgets one of long ago. */
async function age(courseClass, now) {
  const { code, kept_at: keptAt } = courseClass;
  const isOld = now - keptAt > KEEPS_MS;
  await run("classes", "readwrite", (store) =>
    isOld ? store.delete(code) : store.put(toKeep(courseClass, now)),
  );
  if (now - keptAt > LASTS_MS) forgetNotes(`typed ${code} `);
}

/** What was kept of all classes; those that are over are stripped, those of long ago forgotten. */
export async function recallAll(now = Date.now()) {
  try {
    const classes = await run("classes", "readonly", (store) => store.getAll());
    for (const courseClass of classes) await age(courseClass, now);
    return classes.filter((courseClass) => now - courseClass.kept_at <= KEEPS_MS);
  } catch {
    return [];
  }
}

/** Forgets all that was kept of a class. */
export async function forgetClass(code) {
  try {
    await run("classes", "readwrite", (store) => store.delete(code));
  } catch {
    return; // refused: then there is nothing of it in there
  }
}

/** Forgets a person of a class and their results; whether others are left on this phone. */
export async function forgetPerson(code, person, now = Date.now()) {
  const kept = await recall(code, now);
  if (!kept) return false;
  const people = kept.people.filter(({ id }) => id !== person);
  const shown = (kept.shown ?? []).filter((result) => result.person !== person);
  await remember({ ...kept, stamp: "", people, shown }, kept.kept_at);
  return people.length > 0;
}
