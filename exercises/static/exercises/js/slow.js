/**
 * What takes the server a while says so where it was pressed, and is not pressed twice: a link or a
 * form with `data-slow`, the words to show meanwhile. All is as before when the page is seen again
 * (also when it comes back out of the browser's memory), when a file has come (the server leaves a
 * cookie: a file that is saved leaves the page where it is), and after a time at the latest.
 */
const MADE = "navclass_made";
const LOOK_MS = 250;
const LONGEST_MS = 60_000;
const said = document.createElement("p");
let waiting = null;

function end() {
  if (!waiting) return;
  const { pressed, words, looking } = waiting;
  clearInterval(looking);
  pressed.textContent = words;
  pressed.removeAttribute("aria-disabled");
  pressed.removeAttribute("data-busy");
  said.textContent = "";
  waiting = null;
}

function isMade() {
  return document.cookie.split("; ").some((one) => one.startsWith(`${MADE}=`));
}

function begin(pressed, meanwhile) {
  end();
  document.cookie = `${MADE}=; path=/; max-age=0; samesite=lax`;
  const since = Date.now();
  const looking = setInterval(() => {
    if (isMade() || Date.now() - since > LONGEST_MS) end();
  }, LOOK_MS);
  waiting = { pressed, words: pressed.textContent, looking };
  pressed.textContent = meanwhile;
  pressed.setAttribute("aria-disabled", "true");
  pressed.setAttribute("data-busy", "");
  said.textContent = meanwhile;
}

/** Begins, or keeps what was pressed already from being pressed again. */
function press(event, pressed, meanwhile) {
  if (waiting?.pressed === pressed) event.preventDefault();
  else begin(pressed, meanwhile);
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-slow]");
  const isElsewhere = event.ctrlKey || event.metaKey || event.shiftKey || event.altKey;
  if (link && !isElsewhere && !event.defaultPrevented) press(event, link, link.dataset.slow);
});
document.addEventListener("submit", (event) => {
  const { target: form, submitter } = event;
  if (form.dataset.slow && submitter) press(event, submitter, form.dataset.slow);
});
window.addEventListener("pageshow", end);
said.className = "hidden";
said.setAttribute("role", "status");
document.body.append(said);
