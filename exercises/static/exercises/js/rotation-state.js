/**
 * A rotation that runs, as the pages of who helps reckon it without a signal: the same as
 * `domain/running/rotation_signals.py`. Pure. Moments are seconds since 1970; a round is
 * `[from, until, at]`, a signal `[what, round, moment]`.
 */
const MORE_S = 120;

/** The signals that wait on this page among those that the server told. */
export const withWaiting = (signals, waiting, aheadS) => [
  ...signals,
  ...waiting
    .filter(({ round }) => round !== undefined)
    .map(({ what, round, marked_at: at }) => [what, round, Date.parse(at) / 1000 - aheadS]),
];

/** Rounds as signals have moved them; `moreS` is what "a little longer" adds. */
export function signalled(rounds, signals, moreS = MORE_S) {
  const moved = [];
  rounds.forEach(([from, until, at], number) => {
    const walk = number ? from - rounds[number - 1][1] : 0;
    const begins = number ? moved[number - 1][1] + walk : from;
    const given = signals.filter(([, round]) => round === number);
    const changes = given.filter(([what]) => what === "change").map(([, , moment]) => moment);
    const more = given.filter(([what]) => what === "more").length;
    const ends = changes.length
      ? Math.max(begins, Math.min(...changes))
      : begins + until - from + more * moreS;
    moved.push([begins, ends, at]);
  });
  return moved;
}

/** What everybody does at a moment: `{number, isWalk, until}`, or null when all is over. */
export function turnAt(rounds, now) {
  const number = rounds.findIndex(([, until]) => now < until);
  if (number < 0) return null;
  const [from, until] = rounds[number];
  return now < from ? { number, isWalk: true, until: from } : { number, isWalk: false, until };
}

/** The round that a signal would end at a moment, or null. */
export function endsRound(rounds, now) {
  const begun = rounds.filter(([from]) => from <= now).length;
  return begun && turnAt(rounds, now) ? begun - 1 : null;
}

/** Minutes and seconds, as a clock that runs down shows them. */
export function left(seconds) {
  const whole = Math.max(0, Math.ceil(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}
