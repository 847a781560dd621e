/**
 * The place and the dial that an instructor's link to the practice page names. The same rules as
 * exercises/domain/planning/home_lessons.py; both read fixtures/shared/practice_links.json.
 */
const DECLINATION = /^([0-9]{1,2})([EW])$/;
const LARGEST_DEG = 60;
const DIALS = ["1", "2", "5"];
const USUAL = { declination_deg: 12, graduation_deg: 2 };

function declinationOf(written) {
  const match = DECLINATION.exec(written);
  if (!match || Number(match[1]) > LARGEST_DEG) return null;
  // 0W is 0, not -0
  return match[2] === "E" ? Number(match[1]) : 0 - Number(match[1]);
}

/**
 * What a link says, or null where it cannot be read; what it leaves out is as usual.
 * @param {string} search of the address, such as `?declination=9W&dial=2`
 * @returns {{declination_deg: number, graduation_deg: number}|null}
 */
export function readLink(search) {
  const values = new URLSearchParams(search);
  const [declination, dial] = ["declination", "dial"].map((name) => values.get(name) || "");
  const declinationDeg = declination ? declinationOf(declination) : USUAL.declination_deg;
  if (declinationDeg === null || (dial && !DIALS.includes(dial))) return null;
  return {
    declination_deg: declinationDeg,
    graduation_deg: dial ? Number(dial) : USUAL.graduation_deg,
  };
}

/** Whether two places with their dials are the same. */
export const isSame = (one, other) =>
  one.declination_deg === other.declination_deg && one.graduation_deg === other.graduation_deg;
