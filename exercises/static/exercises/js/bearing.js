/**
 * What a person typed for a bearing, in degrees or in mils as their compass is marked. The same
 * rules as exercises/domain/earth/bearing_notation.py; both read fixtures/shared/bearings.json.
 */
import { say } from "./words.js";

const WHOLE_CIRCLE = /^(\d{1,3}(?:\.\d{1,6})?)\s*(?:°|degrees|degree|degs|deg|grados?)?$/;
const QUADRANT =
  // O is the west of Spanish dials
  /^([ns])\s*(\d{1,2}(?:\.\d{1,6})?)\s*(?:°|degrees|degree|degs|deg|grados?)?\s*([ewo])$/;
const MILS = /^(\d{1,4})\s*(?:mils?|milésimas?)$/;
const FOUR_DIGITS = /^[1-9]\d{3}$/;
const MILS_PER_CIRCLE = 6400;
const FIGURES = /^(\d{1,4}(?:\.\d{1,3})?)\s*(?:mils?|milésimas?)?$/;
/** What a compass is marked in, unless the server says otherwise. */
export const DEGREES = { code: "deg", circle: 360, digits: 3 };

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

/** A bearing where degrees are asked; `mils` asks whether it is in mils. */
function inDegrees(text) {
  const typed = plain(text);
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

/** A bearing where mils are asked. */
function inMils(text, { circle: most }) {
  const match = FIGURES.exec(plain(text));
  const values = { text: text.trim(), most };
  if (!match) {
    return {
      error: say("“{text}” is not a number of mils. Use four digits from 0000 to {most}.", values),
    };
  }
  const number = Number(match[1]);
  return number > most
    ? {
        error: say(
          "“{text}” is more than a full circle of {most} mils. Use a number from 0000 to {most}.",
          values,
        ),
      }
    : { degrees: wrap((number * 360) / most) };
}

const NOTATIONS = { deg: inDegrees };

/**
 * Reads a bearing.
 * @param {string} text as typed
 * @param {{code: string, circle: number, digits: number}} unit what the compass is marked in
 * @returns {{degrees: number}|{mils: number}|{error: string}} degrees in [0, 360); `mils` asks
 *   whether it is in mils
 */
export function parseBearing(text, unit = DEGREES) {
  if (!plain(text)) return { error: say("Type the number first.") };
  return (NOTATIONS[unit.code] ?? inMils)(text, unit);
}

/** Whether a whole number was typed with fewer digits than its unit has: one may be missing. */
export const isShort = (text, { digits } = DEGREES) =>
  /^\d+$/.test(plain(text)) && plain(text).length < digits;
