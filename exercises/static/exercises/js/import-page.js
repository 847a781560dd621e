/**
 * The rows of a file of points, before anything is stored. A cell that was typed over is looked at
 * again by the server, which alone knows the rules; the page takes over what it says beside the
 * cells, and never what stands in a field that was typed in meanwhile. Without this script the
 * button does the same with a new page.
 */
import { find } from "./dom.js";
import { say, sayMany } from "./words.js";

const REST_MS = 500; // after the last key
const form = find("import");
let timer = null;
let asking = null;
let isStale = false; // something was typed since the server was asked
let isUnsent = false; // something was typed that leaving the page would lose

const boxes = () => [...form.querySelectorAll("input[name=line]")];

function count() {
  const all = boxes();
  const ticked = all.filter((box) => box.checked).length;
  find("ticked").textContent = sayMany(
    "{ticked} of {number} row ticked",
    "{ticked} of {number} rows ticked",
    all.length,
    { ticked },
  );
}

function tell(words) {
  find("trouble").textContent = words;
  find("trouble").hidden = !words;
  find("look").hidden = !words;
}

/** Puts what the new page has in place of what stands here, without the element itself. */
function replace(here, there) {
  const hadFocus = here.contains(document.activeElement);
  here.replaceChildren(...[...there.childNodes].map((node) => document.importNode(node, true)));
  return hadFocus;
}

function takeField(field, news, sent) {
  if (field.type === "checkbox") {
    if (field.checked === sent.checked) field.checked = news.checked;
    field.disabled = news.disabled;
    return;
  }
  if (field.value === sent.value) field.value = news.value;
  for (const name of ["aria-invalid", "aria-describedby"]) {
    if (news.hasAttribute(name)) field.setAttribute(name, news.getAttribute(name));
    else field.removeAttribute(name);
  }
}

function takeRow(row, news, sent) {
  row.className = news.className;
  const fields = [...row.querySelectorAll("input")];
  const newFields = [...news.querySelectorAll("input")];
  fields.forEach((field, index) => takeField(field, newFields[index], sent.get(field)));
  const told = [...row.querySelectorAll("[data-told]")];
  const newTold = [...news.querySelectorAll("[data-told]")];
  const hadFocus = told.map((part, index) => replace(part, newTold[index])).some(Boolean);
  if (hadFocus) row.querySelector("input[type=checkbox]").focus();
}

const namesOf = (page) =>
  [...page.querySelectorAll("[data-row] input")].map(({ name }) => name).join();

/**
 * Takes over what another page says of the same cells. Where it has others, because columns were
 * chosen anew meanwhile, it comes as a page.
 */
function takePage(page, sent) {
  if (namesOf(page) !== namesOf(form)) {
    form.requestSubmit(find("look"));
    return;
  }
  for (const name of ["kept", "read-as", "told-above"]) {
    replace(find(name), page.querySelector(`[data-${name}]`));
  }
  for (const row of form.querySelectorAll("[data-row]")) {
    takeRow(row, page.querySelector(`[data-row="${row.dataset.row}"]`), sent);
  }
  for (const name of ["take", "nothing"]) {
    find(name).hidden = page.querySelector(`[data-${name}]`).hidden;
  }
  count();
}

/** What the fields hold, to see later which of them were changed while the server was asked. */
const remembered = () =>
  new Map(
    [...form.querySelectorAll("[data-row] input")].map((field) => [
      field,
      { value: field.value, checked: field.checked },
    ]),
  );

/** Asks the server what the rows mean now, with `more` as a button that was pressed. */
async function look(more = {}) {
  clearTimeout(timer);
  isStale = false;
  asking?.abort();
  asking = new AbortController();
  const { signal } = asking;
  const sent = remembered();
  const body = new FormData(form);
  for (const [name, value] of Object.entries(more)) body.set(name, value);
  try {
    const answer = await fetch(form.action, { method: "POST", body, signal });
    const text = await answer.text();
    if (signal.aborted) return;
    const page = new DOMParser().parseFromString(text, "text/html");
    if (!answer.ok || !page.querySelector("[data-import]")) throw new Error(answer.status);
    takePage(page, sent);
    tell("");
  } catch {
    if (!signal.aborted) {
      tell(say("The rows could not be looked at. What you typed is still here: try again."));
    }
  }
}

form.addEventListener("input", ({ target }) => {
  if (target.name === "line") count();
  else if (target.closest("[data-row]")) {
    isStale = isUnsent = true;
    clearTimeout(timer);
    timer = setTimeout(() => look(), REST_MS);
  }
});
form.addEventListener("change", ({ target }) => {
  if (isStale && target.closest("[data-row]")) look();
});
form.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.target.type !== "text") return;
  if (!event.target.closest("[data-row]")) return;
  event.preventDefault();
  look();
});
form.addEventListener("click", (event) => {
  const button = event.target.closest("button[name=exchange]");
  if (!button) return;
  event.preventDefault();
  look({ exchange: button.value });
});
form.addEventListener("submit", () => {
  isUnsent = false;
  clearTimeout(timer);
  asking?.abort();
});
find("look").hidden = true;
addEventListener("beforeunload", (event) => {
  if (isUnsent) event.preventDefault();
});
// a page that was loaded anew may have got back what was typed in it
addEventListener("pageshow", () => {
  const fields = [...form.querySelectorAll("[data-row] input")];
  const hasTyped = fields.some((field) => field.value !== field.defaultValue);
  isUnsent ||= hasTyped;
  if (hasTyped) look();
  else count();
});
