/** What somebody does while they watch a class, as it is kept and sent. Pure. */

/** An act from the fields of its form, without what the form needs for itself. */
export function asAct({ csrfmiddlewaretoken, ...fields }, { id, at }) {
  return { ...fields, id, at };
}

/** The keys of the signs that were seen to, by what waits, and not taken back since. */
export function seenTo(waiting) {
  const last = new Map();
  for (const act of waiting) if (act.sign) last.set(act.sign, act.do);
  return [...last].filter(([, done]) => done === "see_to").map(([sign]) => sign);
}
