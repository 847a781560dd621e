/** The views of a page, of which one is shown at a time. */
import { find } from "./dom.js";

/** The name of the view that is shown. */
export const viewNow = () => document.querySelector("[data-view]:not([hidden])").dataset.view;

/** Shows one view and hides the others, from its top. */
export function showOnly(view) {
  for (const section of document.querySelectorAll("[data-view]")) {
    section.hidden = section.dataset.view !== view;
  }
  window.scrollTo(0, 0);
}

/**
 * Shows a view of the class's page, with what belongs to it in the head. The focus moves to the
 * heading of a view that was not shown before, so that it is read aloud and Tab goes on from there.
 */
export function go(view) {
  const isNew = viewNow() !== view;
  find("back").hidden = view === "list" || view === "wait";
  find("task-label").hidden = view !== "task";
  find("turn").toggleAttribute("data-aside", view !== "list" && view !== "station");
  showOnly(view);
  if (isNew) document.querySelector(`[data-view=${view}] h1`)?.focus();
}
