/** The few things that every view does with the page. */

/** The element marked `data-NAME`. */
export const find = (name) => document.querySelector(`[data-${name}]`);

/** An element with a text. */
export function text(tag, content, className = "") {
  const made = document.createElement(tag);
  made.textContent = content;
  if (className) made.className = className;
  return made;
}

/** A button that does something; `label` is said for it where its text is a sign. */
export function button(content, act, { label = "", className = "" } = {}) {
  const made = text("button", content, className);
  made.type = "button";
  if (label) made.setAttribute("aria-label", label);
  made.addEventListener("click", act);
  return made;
}

/** A drawing that came as text. */
export const drawn = (svg) =>
  document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true);
