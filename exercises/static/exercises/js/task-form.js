/**
 * The form of a task: shows the fields that the chosen kind wants, and only its norths. Without
 * this script all of them stand there, and those of other kinds are left out of account.
 */
import { find } from "./dom.js";

const form = find("task");
const { kind, north, preset } = form.elements;
const norths = JSON.parse(kind.dataset.norths);
const presets = JSON.parse(kind.dataset.presets);

function show() {
  for (const field of form.querySelectorAll("[data-for]")) {
    field.closest(".field").hidden =
      !field.dataset.for.split(" ").includes(kind.value) && !field.getAttribute("aria-invalid");
  }
  for (const choice of north.options) {
    choice.hidden = choice.disabled =
      Boolean(choice.value) && !(norths[kind.value] ?? []).includes(choice.value);
  }
}

kind.addEventListener("change", () => {
  show();
  if (north.selectedOptions[0]?.disabled) north.value = norths[kind.value].at(-1); // the map's own
  preset.value = presets[kind.value];
});
show();
