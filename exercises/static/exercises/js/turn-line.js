/**
 * Where a group goes next in the rotation, in one line, and "everybody change" until it is there.
 * It says no direction: the way to a station could be the answer of a task.
 */
import { find } from "./dom.js";
import { note, noted } from "./small-notes.js";
import { say } from "./words.js";

const BUZZ_MS = [300, 150, 300, 150, 300];

const stopWords = (code, time) =>
  code ? say("Next: station {code}, {time}", { code, time }) : say("Next: wait, {time}", { time });

/** The line about one group at a moment, seconds since 1970; "" when all is over. */
function lineOf([name, stops], { groups, ends }, now) {
  const stop = stops.find(([, , moment]) => moment > now);
  if (!stop && now > ends[1]) return "";
  const words = stop
    ? stopWords(stop[0], stop[1])
    : say("All are through at {time}.", { time: ends[0] });
  return groups.length > 1 ? `${name}: ${words}` : words;
}

/** The lines about the groups of this phone. */
export const turnLines = (rotation, now) =>
  rotation.groups.map((group) => lineOf(group, rotation, now)).filter(Boolean);

/** What is called out after a signal to change, while that round lasts; "" else. */
export function changeWords({ groups, change }, now) {
  if (!change || now >= change[1]) return "";
  const words = change[2].map((code, place) => {
    const said = code
      ? say("Everybody change: go to station {code}", { code })
      : say("Everybody change: your group waits this round");
    return groups.length > 1 ? `${groups[place][0]}: ${said}` : said;
  });
  return words.join(" ");
}

const nameOf = ({ code }) => `changed ${code}`;

/** Who opens the next station after the signal is there: nothing is called out any more. */
export function arrive({ courseClass }, code) {
  const change = courseClass.rotation?.change;
  if (change?.[2].includes(code)) note(nameOf(courseClass), `${change[0]} there`);
}

/** Shows both, and lets the phone buzz once for each signal. */
export function showTurn({ courseClass }, now = Date.now() / 1000) {
  const { rotation } = courseClass;
  const line = rotation ? turnLines(rotation, now).join(" · ") : "";
  const words = rotation ? changeWords(rotation, now) : "";
  const [told, there] = noted(nameOf(courseClass)).split(" ");
  const isNew = words && told !== String(rotation.change[0]);
  find("turn").textContent = line;
  find("turn").hidden = !line;
  find("changed").textContent = words;
  find("changed").hidden = !words || (!isNew && Boolean(there));
  if (!isNew) return;
  note(nameOf(courseClass), String(rotation.change[0]));
  // without a touch before it browsers refuse, and complain
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(BUZZ_MS);
}
