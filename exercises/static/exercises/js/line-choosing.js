/**
 * Choosing what a station sees: a tap on a target of the map ticks it in the list or unticks it,
 * and the list draws the map. The ticks are all there is to store; each step can be undone.
 */
import { find } from "./dom.js";
import { say, sayMany } from "./words.js";

/**
 * Which targets to tick where a station sees everything within some metres: what is noted stays,
 * and so does what was ticked or unticked by hand.
 * @param {{code: string, isTicked: boolean, isNoted: boolean, metres: ?number}[]} sights `metres`
 *   is null for what is not expected to be seen, however near
 * @param {Set<string>} byHand codes
 * @returns {Set<string>} codes
 */
export function within(sights, reach, byHand) {
  const isNear = ({ metres }) => metres !== null && metres <= reach;
  const isSeen = (sight) =>
    byHand.has(sight.code) ? sight.isTicked : sight.isNoted || isNear(sight);
  return new Set(sights.filter(isSeen).map(({ code }) => code));
}

const box = (input) => ({
  code: input.value,
  isTicked: input.checked,
  isNoted: "noted" in input.dataset,
  metres: "metres" in input.dataset ? Number(input.dataset.metres) : null,
});

/** A number as it is typed, with a comma or a point. */
const typed = (input) => Number(input.value.replace(",", "."));

/** Which tasks ask for a line, as the list says it; "" for none. */
const askedFor = (code) =>
  document.querySelector(`[data-asked="${code}"]`)?.textContent.replace(/\s+/g, " ").trim() ?? "";

/**
 * Wires the choosing.
 * @param {object} map `draw(codes, all)` draws the lines to these of all targets, `drawReach(metres)` how far
 *   everything is seen, `textOf(code)` is a line's bearing and length, `tell(words)` says a sentence
 * @returns {{codes: Set<string>, toggle: (code: string) => void}} what can be tapped, and the tap
 */
export function lineChoosing({ draw, drawReach, textOf, tell }) {
  const form = find("lines");
  const reach = find("reach").elements.within;
  const inputs = new Map([...form.querySelectorAll("[name=sees]")].map((one) => [one.value, one]));
  const steps = [];
  let byHand = new Set();
  let isSent = false;

  const boxes = () => [...inputs.values()].map(box);
  const ticked = () => new Set(boxes().flatMap(({ code, isTicked }) => (isTicked ? [code] : [])));
  const unsaved = () => boxes().filter(({ isTicked, isNoted }) => isTicked !== isNoted).length;
  let last = ticked(); // what is ticked, as it was before the step that is being made

  function show() {
    const number = unsaved();
    last = ticked();
    draw(last, [...inputs.keys()]);
    find("undo").hidden = steps.length === 0;
    find("unsaved").textContent = number ? say("{number} not saved", { number }) : "";
  }

  function tick(codes) {
    for (const [code, input] of inputs) input.checked = codes.has(code);
  }

  function toldOf(code) {
    const values = { code, line: textOf(code) };
    if (inputs.get(code).checked) return say("{code} is seen: {line}.", values);
    return [say("{code} is not seen: {line}.", values), askedFor(code)].filter(Boolean).join(" ");
  }

  /** Notes that a box was ticked or unticked by hand. */
  function onTick(code) {
    steps.push([last, new Set(byHand)]);
    byHand.add(code);
    show();
    tell(toldOf(code));
  }

  function onReach(event) {
    event.preventDefault();
    const metres = typed(reach);
    if (!(metres > 0)) return tell(say("Type how far, in metres."));
    steps.push([last, new Set(byHand)]);
    tick(within(boxes(), metres, byHand));
    show();
    const number = ticked().size;
    return tell(
      sayMany(
        "{number} target is ticked. Untick what is hidden from the mark.",
        "{number} targets are ticked. Untick what is hidden from the mark.",
        number,
      ),
    );
  }

  function undo() {
    const step = steps.pop();
    if (!step) return;
    byHand = step[1];
    tick(step[0]);
    show();
    tell(say("Taken back a step."));
  }

  form.addEventListener("change", ({ target }) => onTick(target.value));
  form.addEventListener("submit", () => {
    isSent = true;
  });
  find("undo").addEventListener("click", undo);
  find("reach").addEventListener("submit", onReach);
  reach.addEventListener("input", () => drawReach(typed(reach)));
  globalThis.addEventListener("beforeunload", (event) => {
    if (steps.length && unsaved() && !isSent) event.preventDefault();
  });
  drawReach(typed(reach));
  show();
  if (boxes().some(({ isNoted }) => isNoted)) {
    tell(say("Tap a target to add its line or to take it away."));
  }
  return {
    codes: new Set(inputs.keys()),
    toggle: (code) => {
      inputs.get(code).checked = !inputs.get(code).checked;
      onTick(code);
    },
  };
}
