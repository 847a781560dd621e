/** What a count shows: what the server said, and over it what was ticked here since. */

/** A tick as it is kept and sent. */
export const asMarked = (person, here, { id, at }) => ({ id, person, here, marked_at: at });

/** People as the server told them, with what waits here over it. */
export function merged(people, waiting) {
  const last = new Map(waiting.map((mark) => [mark.person, mark.here]));
  return people.map((person) =>
    last.has(person.id) ? { ...person, here: last.get(person.id) } : person,
  );
}

/** How many are missing. */
export const missing = (people) => people.filter(({ here }) => !here).length;
