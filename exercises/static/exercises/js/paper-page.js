/**
 * Answers typed from paper with the keyboard alone: all the digits move on, Enter moves on, arrows
 * move about, and what cannot be is marked at once.
 */
import { DEGREES, isShort, parseBearing } from "./bearing.js";
import { find } from "./dom.js";
import { say } from "./words.js";

const cells = [...document.querySelectorAll("[data-paper] td input")];
let isSent = false;
let left; // the cell that all its digits have just moved on from
const across = document.querySelectorAll("[data-paper] tbody tr:first-child input").length;

/** What the sheet of a cell's person is in. */
function unitOf(cell) {
  const choice = cell.closest("tr").querySelector("[data-unit]")?.selectedOptions[0];
  if (!choice) return DEGREES;
  const { circle, digits } = choice.dataset;
  return { code: choice.value, circle: Number(circle), digits: Number(digits) };
}

/**
 * What is odd about an answer, in words; empty where nothing is. A number over 360 stays: on paper
 * it may be mils.
 */
function odd(cell) {
  const text = cell.value.trim();
  if (!text) return "";
  if (cell.dataset.typed && text.replace(/\D/g, "").length >= 8) return "";
  if (cell.dataset.widget !== "bearing") {
    return cell.dataset.choices.split(" ").includes(text.toUpperCase())
      ? ""
      : say("“{text}” is none of {choices}.", { text, choices: cell.dataset.choices });
  }
  const number = text.replace(/\s*[+−=-]$/, ""); // what was ringed beside it
  const unit = unitOf(cell);
  const { error, mils, degrees } = parseBearing(number, unit);
  if (error && !/^\d{3}$/.test(number)) return error;
  if (mils !== undefined || degrees === undefined) {
    return say("“{text}” is more than 360: is that what is written? It will be read as mils.", {
      text,
    });
  }
  if (!isShort(number, unit)) return "";
  return unit.digits > DEGREES.digits
    ? say("“{text}” has fewer than four digits: is one missing?", { text })
    : say("“{text}” has fewer than three digits: is one missing?", { text });
}

function mark(cell) {
  const words = odd(cell);
  cell.classList.toggle("odd", Boolean(words));
  if (words) cell.setAttribute("aria-invalid", "true");
  else cell.removeAttribute("aria-invalid");
  find("said").textContent = words;
}

/** On to the next empty cell, which no figure can then overwrite. */
function goOn(cell) {
  const next = cells.slice(cells.indexOf(cell) + 1).find((other) => !other.value);
  left = next ? cell : undefined;
  next?.focus();
}

function go(cell, steps) {
  const next = cells[cells.indexOf(cell) + steps];
  next?.focus();
  next?.select();
}

for (const cell of cells) {
  mark(cell);
  cell.addEventListener("input", () => {
    mark(cell);
    if (
      cell.dataset.widget === "bearing" &&
      /^\d+$/.test(cell.value) &&
      cell.value.length === unitOf(cell).digits &&
      !odd(cell) &&
      !find("mils")?.checked
    ) {
      goOn(cell);
    } else left = undefined;
  });
  cell.addEventListener("focus", () => mark(cell));
  cell.addEventListener("keydown", (event) => {
    // a number goes on after its point, and with what is ringed: back to where it began
    if (left && event.key.length === 1 && ".,+-−=".includes(event.key)) left.focus();
    const steps = { Enter: 1, ArrowDown: across, ArrowUp: -across }[event.key];
    if (!steps) return;
    event.preventDefault();
    go(cell, steps);
  });
}
for (const choice of document.querySelectorAll("[data-paper] [data-unit]")) {
  choice.addEventListener("change", () => {
    for (const cell of choice.closest("tr").querySelectorAll("input")) mark(cell);
  });
}
globalThis.addEventListener("beforeunload", (event) => {
  if (!isSent && cells.some((cell) => cell.value !== cell.defaultValue)) event.preventDefault();
});
find("paper")?.addEventListener("submit", () => {
  isSent = true;
});
if (find("said")) find("said").textContent = "";
cells.find((cell) => !cell.value)?.focus();
