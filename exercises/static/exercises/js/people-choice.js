/** Whose reading it is, on a phone that several people share. */
import { isDone } from "./class-state.js";
import { button } from "./dom.js";

/** Shows the choice wherever the page has a place for it; `choose(id)` is called with a person. */
export function showPeople(state, choose) {
  const { people } = state.courseClass;
  for (const group of document.querySelectorAll("[data-people]")) {
    const choices = people.map(({ id, name }) => {
      const mark = isDone(state, id, state.task.label) ? " ✓" : "";
      const choice = button(name + mark, () => choose(id));
      choice.setAttribute("aria-pressed", String(id === state.person));
      return choice;
    });
    group.hidden = people.length < 2;
    group.replaceChildren(...choices);
  }
}
