/**
 * Asks the server whether anything is new in the class, and what to do where it does not answer.
 */
import { find } from "./dom.js";
import { showStatus, statusNow } from "./status.js";
import { goOn, patience } from "./sync.js";
import { say } from "./words.js";

const PATIENCE_MS = 15000;

/**
 * Asks what the class is like; `have` is the stamp of what is known of it, `unsent` how many
 * readings wait on this phone, which is told where there are any.
 */
export function askState(code, { have = "", unsent = 0 } = {}) {
  const asked = String(new URLSearchParams({ ...(have && { have }), ...(unsent && { unsent }) }));
  return fetch(`/c/${code}/state/${asked && `?${asked}`}`, { signal: patience(PATIENCE_MS) });
}

/** No answer: say that it does not matter, or that nothing is known yet. */
function sayNoConnection({ isKnown }) {
  const words = say("No connection. Go on: readings are kept on this phone.");
  if (isKnown) showStatus(statusNow() || words);
  else find("nothing-known").hidden = false;
}

/**
 * A question whether the personal codes bring this phone back into the class. It is asked once:
 * wrong codes are counted, and a phone that refuses cookies would ask for ever.
 */
function comingBack(state) {
  let wasTried = false;
  return async () => {
    if (wasTried) return false;
    const codes = state.courseClass.people.map(({ code }) => code).filter(Boolean);
    try {
      wasTried = true;
      return await goOn(state.code, codes);
    } catch {
      wasTried = false; // no connection: that was no answer
      return false;
    }
  };
}

function sayUnknown() {
  showStatus(
    say(
      "The class does not know this phone any more. Go on with your personal code; your readings stay here.",
    ),
  );
}

/**
 * How the page hears of its class: that it has opened, that feedback has come, that the key was
 * corrected.
 * @param {object} told `deliver()` sends what waits before anything is asked, `onNews(courseClass)`
 *   takes over what is new
 * @returns {(asked?: Promise<Response>) => Promise<void>} asks, or takes the answer to what was
 *   asked already; calls that overlap share one run
 */
export function classNews(state, { deliver, onNews }) {
  const isKnownAgain = comingBack(state);
  let running = null; // the question that is on its way

  /**
   * The class does not know this phone: its cookie is lost, as when the battery died early, or its
   * people are not in the class any more, which no code mends.
   */
  async function comeBack(answer) {
    const { code, courseClass, unsent } = state;
    const { gone = false, message = "" } = await answer.json().catch(() => ({}));
    if (gone) showStatus(message);
    else if (!courseClass.people.length && !unsent)
      location.replace(code ? `/c/${code}/join/` : "/");
    else if (await isKnownAgain()) await hear();
    else sayUnknown();
  }

  async function hear(asked = null) {
    const early = state.changes;
    await deliver();
    const { changes } = state;
    let answer;
    let courseClass;
    try {
      const isCurrent = asked && changes === early;
      answer = await (isCurrent
        ? asked
        : askState(state.code, { have: state.courseClass.stamp, unsent: state.unsent }));
      courseClass = answer.status === 200 ? await answer.json() : null;
    } catch {
      sayNoConnection(state);
      return;
    }
    if (answer.status === 403 || answer.status === 404) await comeBack(answer);
    if (!courseClass || state.changes !== changes) return; // the next turn asks again
    await onNews(courseClass);
  }

  return (asked = null) => {
    running ??= hear(asked).finally(() => {
      running = null;
    });
    return running;
  };
}
