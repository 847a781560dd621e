/**
 * The debrief before a class, one screen at a time. All screens are in the page, so nothing is
 * fetched; the address names the screen, so that a reload stays on it.
 */
import { placeAfter, stepOfKey, stepOfSwipe } from "./show-steps.js";

const screens = [...document.querySelectorAll("[data-screen]")];
const back = document.querySelector("[data-back]");
const next = document.querySelector("[data-next]");
const label = document.querySelector("[data-place]");
const index = document.querySelector("[data-index]");
const TIGHTEST = 4; // steps of smaller letters, in show.css
let place = 0;
let touch;

const placeInAddress = () =>
  Math.max(
    screens.findIndex(({ id }) => id === location.hash.slice(1)),
    0,
  );

/** Smaller letters, a step at a time, where a long sentence would not fit. */
function fit(screen) {
  for (let tight = 0; tight <= TIGHTEST; tight += 1) {
    screen.dataset.tight = tight;
    if (screen.scrollHeight <= screen.clientHeight) return;
  }
}

function show(wanted) {
  place = wanted;
  screens.forEach((screen, at) => {
    screen.hidden = at !== place;
  });
  label.textContent = `${place + 1} / ${screens.length}`;
  back.disabled = place === 0;
  next.disabled = place === screens.length - 1;
  index.open = false;
  fit(screens[place]);
  screens[place].scrollTop = 0;
}

/** Shows a screen, has its heading read out, and keeps its address without filling the history. */
function go(step) {
  const wanted = placeAfter(step, place, screens.length);
  if (wanted === place) return;
  history.replaceState(null, "", `#${screens[wanted].id}`);
  show(wanted);
  screens[place].querySelector("h1, h2").focus({ preventScroll: true });
}

const isScrolled = ({ key }) =>
  ["ArrowUp", "ArrowDown"].includes(key) &&
  screens[place].scrollHeight > screens[place].clientHeight;

function onKey(event) {
  const step = isScrolled(event) ? undefined : stepOfKey(event);
  const isOwn = event.target.closest("details[open]");
  const isPressed = event.key === " " && event.target.closest("a, button, summary");
  if (!step || isOwn || isPressed) return;
  event.preventDefault();
  go(step);
}

function onTouchEnd({ changedTouches: [end] }) {
  const step = touch && stepOfSwipe(end.clientX - touch.clientX, end.clientY - touch.clientY);
  if (step) go(step);
}

function begin() {
  document.body.classList.add("is-one");
  for (const part of [back, next, label]) part.hidden = false;
  back.addEventListener("click", () => go("back"));
  next.addEventListener("click", () => go("next"));
  document.addEventListener("keydown", onKey);
  document.addEventListener("touchstart", ({ touches }) => {
    touch = touches.length === 1 ? touches[0] : undefined;
  });
  document.addEventListener("touchend", onTouchEnd);
  window.addEventListener("hashchange", () => {
    show(placeInAddress());
    screens[place].querySelector("h1, h2").focus({ preventScroll: true });
  });
  window.addEventListener("resize", () => fit(screens[place]));
  window.addEventListener("beforeprint", () => screens.forEach((one) => (one.hidden = false)));
  window.addEventListener("afterprint", () => show(place));
  show(placeInAddress());
}

if (screens.length) begin();
