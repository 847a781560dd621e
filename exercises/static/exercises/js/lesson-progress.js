/**
 * Which lessons were done on this phone, and what went wrong in the one that is on: pure, and kept
 * as a text among the phone's notes. `times` is how often a lesson was gone through, `missed` the
 * places of the rounds that were not right at once.
 */
const NONE = { times: 0, missed: [] };

const isCount = (value) => Number.isInteger(value) && value >= 0;

function isEntry(entry) {
  return Boolean(entry) && isCount(entry.times) && Array.isArray(entry.missed);
}

/** What was noted, for the lessons that there are; anything else is as if nothing was noted. */
export function readProgress(noted, codes) {
  let told = null;
  try {
    told = JSON.parse(noted);
  } catch {
    return {}; // nothing noted yet, or not by us
  }
  const entries = codes.filter((code) => isEntry(told?.[code]));
  return Object.fromEntries(
    entries.map((code) => [
      code,
      { times: told[code].times, missed: told[code].missed.filter(isCount) },
    ]),
  );
}

const entryOf = (progress, code) => progress[code] ?? NONE;

/** Whether a lesson was gone through to its end. */
export const isDone = (progress, code) => entryOf(progress, code).times > 0;

/** Which of some sets of rounds comes next, and which came last. */
export const nextSet = (progress, code, sets) => entryOf(progress, code).times % sets;
export const lastSet = (progress, code, sets) => (entryOf(progress, code).times - 1) % sets;

/** The places of the rounds that were not right at once. */
export const missedIn = (progress, code) => entryOf(progress, code).missed;

/** A lesson begins: what went wrong before is over. */
export const begun = (progress, code) => ({
  ...progress,
  [code]: { ...entryOf(progress, code), missed: [] },
});

/** A round was not right at once. */
export function missed(progress, code, round) {
  const entry = entryOf(progress, code);
  if (entry.missed.includes(round)) return progress;
  return { ...progress, [code]: { ...entry, missed: [...entry.missed, round] } };
}

/** A lesson was gone through. */
export function finished(progress, code) {
  const entry = entryOf(progress, code);
  return { ...progress, [code]: { ...entry, times: entry.times + 1 } };
}

/** The first lesson after one, in a circle, that was not done yet; null where all were. */
export function nextLesson(progress, codes, code) {
  const at = codes.indexOf(code) + 1;
  return (
    [...codes.slice(at), ...codes.slice(0, at)].find((next) => !isDone(progress, next)) ?? null
  );
}
