/** The form of a task: shows the fields that the chosen kind wants. Without this script all of them stand there, and those of other kinds are left out of account. */
import { find } from "./dom.js";

const form = find("task");
const kind = form.elements.kind;

function show() {
  for (const field of form.querySelectorAll("[data-for]")) field.closest(".field").hidden = !field.dataset.for.split(" ").includes(kind.value) && !field.getAttribute("aria-invalid");
}

kind.addEventListener("change", show);
show();
