/** The words of a task or of a result, explained: folded away behind a "?". */
import { text } from "./dom.js";
import { say } from "./words.js";

const kept = (code) => document.querySelector(`template[data-word="${CSS.escape(code)}"]`);

/** A "?" that opens these words, as a list of one element; empty where none is known. */
export function about(codes = []) {
  const templates = codes.map(kept).filter(Boolean);
  if (!templates.length) return [];
  const folded = text("details", "", "about");
  const summary = text("summary", "");
  const mark = text("span", "?", "about-mark");
  mark.setAttribute("aria-hidden", "true");
  summary.append(mark, text("span", say("What do these words mean?")));
  const more = text("div", "", "about-more");
  more.append(...templates.map(({ content }) => document.importNode(content, true)));
  folded.append(summary, more);
  return [folded];
}
