/**
 * Shows waiting readings to be taken over by hand: in words, as pictures to scan, as a line to
 * copy.
 */
import { button, find, text } from "./dom.js";
import { handover } from "./handover.js";
import { say, sayMany } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const QUIET = 4; // modules of white round a QR code, ISO/IEC 18004

/** The drawing of a QR code: black on white in every theme, or cameras do not read it. */
function picture(encode, address, label) {
  const { data, size } = encode(address, { ecc: "L", border: 0 });
  const drawing = document.createElementNS(SVG, "svg");
  const dark = document.createElementNS(SVG, "path");
  drawing.setAttribute("viewBox", `${-QUIET} ${-QUIET} ${size + 2 * QUIET} ${size + 2 * QUIET}`);
  drawing.setAttribute("class", "scan");
  drawing.setAttribute("role", "img");
  drawing.setAttribute("aria-label", label);
  const square = (on, x, y) => (on ? `M${x} ${y}h1v1h-1z` : "");
  const path = data.flatMap((row, y) => row.map((on, x) => square(on, x, y)));
  dark.setAttribute("d", path.join(""));
  drawing.append(dark);
  return drawing;
}

async function pictures(texts) {
  const { encode } = await import(document.body.dataset.qr);
  return texts.map((content, place) => {
    const address = `${location.origin}/hand-in/?r=${encodeURIComponent(content)}`;
    const values = { place: place + 1, number: texts.length };
    return picture(encode, address, say("Picture {place} of {number} to scan", values));
  });
}

function copyable(texts) {
  const field = text("textarea", texts.join("\n"), "copy");
  field.readOnly = true;
  field.rows = 3;
  field.setAttribute("aria-label", say("The same as text, to copy"));
  field.addEventListener("focus", () => field.select());
  const copy = () => {
    field.select();
    document.execCommand("copy"); // the newer way is missing on plain http
    made.textContent = say("Copied");
  };
  const made = button(say("Copy"), copy, { className: "button button-quiet" });
  return [field, made];
}

function numberWords(number) {
  return number
    ? sayMany("One reading waits on this phone.", "{number} readings wait on this phone.", number)
    : say("Nothing waits on this phone: everything has been sent.");
}

function readingLine({ person, task, text: typed }, people) {
  const name = people.find(({ id }) => id === person)?.name ?? "";
  return text("p", say("{name}, task {task}: {text}", { name, task, text: typed }), "handed");
}

const noPicture = () =>
  text(
    "p",
    say(
      "The picture cannot be drawn now. Copy the text, or let your instructor write the numbers down.",
    ),
  );

/** Fills the view with the readings that wait on this phone. */
export async function showHandover(code, readings, people) {
  const view = find("handover");
  const texts = handover(code, readings);
  view.replaceChildren(
    text("p", numberWords(readings.length)),
    ...readings.map((reading) => readingLine(reading, people)),
  );
  if (!readings.length) return;
  try {
    view.append(...(await pictures(texts)));
  } catch {
    view.append(noPicture());
  }
  view.append(...copyable(texts));
}
