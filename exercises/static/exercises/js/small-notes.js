/**
 * Small things that a phone remembers: half-typed numbers, and how it likes its pages. Where
 * storage is refused they last as long as the page.
 */
const lasting = new Map();

/** What was noted under a name, or "". */
export function noted(name) {
  try {
    return localStorage.getItem(`navclass ${name}`) ?? lasting.get(name) ?? "";
  } catch {
    return lasting.get(name) ?? "";
  }
}

/** Notes a text under a name; an empty text forgets it. */
export function note(name, content) {
  lasting.set(name, content);
  try {
    if (content) localStorage.setItem(`navclass ${name}`, content);
    else localStorage.removeItem(`navclass ${name}`);
  } catch {
    return; // refused or full: `lasting` has it
  }
}

/** Forgets all notes whose name begins so. */
export function forgetNotes(beginning) {
  for (const name of [...lasting.keys()]) if (name.startsWith(beginning)) lasting.delete(name);
  try {
    for (const name of Object.keys(localStorage)) {
      if (name.startsWith(`navclass ${beginning}`)) localStorage.removeItem(name);
    }
  } catch {
    return; // refused: then there is nothing of it in there
  }
}
