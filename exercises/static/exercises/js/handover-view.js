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
  dark.setAttribute(
    "d",
    data.map((row, y) => row.map((on, x) => (on ? `M${x} ${y}h1v1h-1z` : "")).join("")).join(""),
  );
  drawing.append(dark);
  return drawing;
}

async function pictures(texts) {
  const { encode } = await import(document.body.dataset.qr);
  return texts.map((content, place) =>
    picture(
      encode,
      `${location.origin}/hand-in/?r=${encodeURIComponent(content)}`,
      say("Picture {place} of {number} to scan", { place: place + 1, number: texts.length }),
    ),
  );
}

function copyable(texts) {
  const field = text("textarea", texts.join("\n"), "copy");
  field.readOnly = true;
  field.rows = 3;
  field.setAttribute("aria-label", say("The same as text, to copy"));
  field.addEventListener("focus", () => field.select());
  const copy = button(
    say("Copy"),
    async () => {
      field.select();
      document.execCommand("copy"); // the newer way is missing on plain http
      copy.textContent = say("Copied");
    },
    { className: "button button-quiet" },
  );
  return [field, copy];
}

/** Fills the view with the readings that wait on this phone. */
export async function showHandover(code, kept, people) {
  const nameOf = (id) => people.find((one) => one.id === id)?.name ?? "";
  const texts = handover(code, kept);
  find("handover").replaceChildren(
    text(
      "p",
      kept.length
        ? sayMany(
            "One reading waits on this phone.",
            "{number} readings wait on this phone.",
            kept.length,
          )
        : say("Nothing waits on this phone: everything has been sent."),
    ),
    ...kept.map((one) =>
      text(
        "p",
        say("{name}, task {task}: {text}", {
          name: nameOf(one.person),
          task: one.task,
          text: one.text,
        }),
        "handed",
      ),
    ),
  );
  if (!kept.length) return;
  try {
    find("handover").append(...(await pictures(texts)));
  } catch {
    find("handover").append(
      text(
        "p",
        say(
          "The picture cannot be drawn now. Copy the text, or let your instructor write the numbers down.",
        ),
      ),
    );
  }
  find("handover").append(...copyable(texts));
}
