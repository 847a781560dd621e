/**
 * Where a key, a remote or a finger leads among the screens of a show. Remotes for slides send
 * PageUp and PageDown, some the arrows.
 */
const LEAST_SWIPE_PX = 50;
const KEYS = {
  ArrowRight: "next",
  ArrowDown: "next",
  PageDown: "next",
  " ": "next",
  ArrowLeft: "back",
  ArrowUp: "back",
  PageUp: "back",
  Home: "first",
  End: "last",
};

/** What a key asks for: "next", "back", "first", "last", or undefined where it asks for nothing. */
export function stepOfKey({ key, shiftKey, altKey, ctrlKey, metaKey }) {
  if (altKey || ctrlKey || metaKey) return undefined;
  if (key === " " && shiftKey) return "back";
  return KEYS[key];
}

/** What a finger asks for that moved this far right and down, in pixels. */
export function stepOfSwipe(right, down) {
  if (Math.abs(right) < LEAST_SWIPE_PX || Math.abs(right) < 2 * Math.abs(down)) return undefined;
  return right < 0 ? "next" : "back";
}

/** The place among `number` screens to which a step leads: it stops at both ends. */
export function placeAfter(step, place, number) {
  const places = { next: place + 1, back: place - 1, first: 0, last: number - 1 };
  return Math.min(Math.max(places[step], 0), number - 1);
}
