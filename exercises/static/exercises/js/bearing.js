/**
 * What a person typed for a bearing. The same rules as exercises/domain/angles.py; both read
 * fixtures/shared/bearings.json.
 */
import { say } from "./words.js";

const WHOLE_CIRCLE = /^(\d{1,3}(?:\.\d{1,6})?)\s*(?:°|degrees|degree|degs|deg|grados?)?$/;
const QUADRANT =
  // O is the west of Spanish dials
  /^([ns])\s*(\d{1,2}(?:\.\d{1,6})?)\s*(?:°|degrees|degree|degs|deg|grados?)?\s*([ewo])$/;
const MILS = /^(\d{1,4})\s*(?:mils?|milésimas?)$/;
const FOUR_DIGITS = /^[1-9]\d{3}$/;
const MILS_PER_CIRCLE = 6400;

/** The same direction in [0, 360). */
export const wrap = (degrees) => ((degrees % 360) + 360) % 360;

const plain = (text) =>
  text
    .replace(/[ºª˚∘⁰ᵒ]/g, "°") // before NFKC, which would make a letter or a figure of them
    .replace(/[²³¹⁴-⁹₀-₉①-⑨]/g, "?") // no figures: raised, lowered, in a ring
    .normalize("NFKC")
    .trim()
    .toLowerCase()
    .replace(/(\d),(?=\d)/g, "$1.");

/**
 * Reads a bearing.
 * @param {string} text as typed
 * @returns {{degrees: number}|{mils: number}|{error: string}} degrees in [0, 360); `mils` asks
 *   whether it is in mils
 */
export function parseBearing(text) {
  const typed = plain(text);
  if (!typed) return { error: say("Type the number first.") };
  let match = WHOLE_CIRCLE.exec(typed);
  if (match) {
    const degrees = Number(match[1]);
    return degrees > 360
      ? {
          error: say("{text} is more than a full circle. Use a number from 0 to 360.", {
            text: text.trim(),
          }),
        }
      : { degrees: wrap(degrees) };
  }
  match = QUADRANT.exec(typed);
  if (match && Number(match[2]) <= 90) {
    const turned = match[3] === "e" ? Number(match[2]) : -Number(match[2]);
    return { degrees: wrap(match[1] === "n" ? turned : 180 - turned) };
  }
  match = MILS.exec(typed);
  if (match && Number(match[1]) <= MILS_PER_CIRCLE) {
    return { degrees: wrap((Number(match[1]) * 360) / MILS_PER_CIRCLE) };
  }
  if (FOUR_DIGITS.test(typed) && Number(typed) <= MILS_PER_CIRCLE) return { mils: Number(typed) };
  return {
    error: say("“{text}” is not a bearing. Use a number from 0 to 360, such as 074.", {
      text: text.trim(),
    }),
  };
}

/** Whether a whole number was typed with fewer than three digits, so that one may be missing. */
export const isShort = (text) => /^\d{1,2}$/.test(plain(text));
