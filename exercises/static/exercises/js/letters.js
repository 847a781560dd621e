/** Letters as they are looked for: without capitals and accents. */
const plain = (text) =>
  text
    .normalize("NFD")
    .replace(/\p{Diacritic}/gu, "")
    .toLowerCase();

/** Whether a text holds all of what was typed, each word of it somewhere. */
export const holds = (text, typed) =>
  plain(typed)
    .split(/\s+/)
    .every((part) => plain(text).includes(part));
