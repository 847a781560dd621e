/**
 * The last resort: readings as one line of text, which an instructor's phone can scan or anybody
 * can paste. It only writes.
 */
// readings in one QR code: about 350 characters, which a camera reads off a scratched screen
const PER_PICTURE = 8;

const guarded = (text) =>
  encodeURIComponent(text).replace(
    /[.~!'()*]/g,
    (sign) => `%${sign.charCodeAt(0).toString(16).toUpperCase()}`,
  );

const packed = (uuid) =>
  btoa(
    String.fromCharCode(
      ...uuid
        .replaceAll("-", "")
        .match(/../g)
        .map((pair) => parseInt(pair, 16)),
    ),
  )
    .replaceAll("+", "-")
    .replaceAll("/", "_")
    .replaceAll("=", "");

/**
 * One reading: person, task, answer, id, second of measuring, and what it is in where that is not
 * degrees: `m` for mils that were said of a number asked in degrees, else the code of the unit.
 * exercises/exchange/handover.py reads it.
 */
function line({ person, task, text, id, measured_at: at, mils, unit = "deg" }) {
  const parts = [
    person.toString(36),
    guarded(task),
    guarded(text),
    packed(id),
    Math.floor(Date.parse(at) / 1000).toString(36),
  ];
  const mark = mils ? "m" : unit;
  return [...parts, ...(mark === "deg" ? [] : [mark])].join(".");
}

/**
 * Readings of a class as texts, each short enough for a QR code.
 * @param {string} code the class's
 * @param {object[]} readings as the outbox has them
 * @returns {string[]}
 */
export function handover(code, readings) {
  const texts = [];
  for (let from = 0; from < readings.length; from += PER_PICTURE) {
    texts.push([code, ...readings.slice(from, from + PER_PICTURE).map(line)].join("~"));
  }
  return texts;
}
