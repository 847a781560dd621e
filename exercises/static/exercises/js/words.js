/**
 * What the scripts say, in the language of the page. English stands in the code; the page brings
 * the rest.
 */
const brought = globalThis.document?.getElementById("catalogue");
const catalogue = brought ? JSON.parse(brought.textContent) : {};

/** The language of the page. */
export const language = globalThis.document?.documentElement.lang || "en";

const filled = (pattern, values) => pattern.replace(/\{(\w+)\}/g, (_, name) => values[name]);

/** A sentence; `{name}` stands for a value. */
export const say = (pattern, values = {}) => filled(catalogue[pattern] ?? pattern, values);

/** A sentence about some number of things, which is `{number}` in it. */
export function sayMany(one, many, number, values = {}) {
  const [singular, plural] = catalogue[one] ?? [one, many];
  return filled(number === 1 ? singular : plural, { number, ...values });
}
