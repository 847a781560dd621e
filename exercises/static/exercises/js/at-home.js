/**
 * What of the lessons done at home a class is told, by whose wish: pure, and noted as a text among
 * the phone's small notes. `wishes` holds by person the lessons that the server is to know, until
 * it does; `later` says that somebody does not wish to be asked.
 */
const isWish = (codes) => Array.isArray(codes) && codes.every((code) => typeof code === "string");

/** What was noted; anything else is as if nothing was noted. */
export function readWishes(noted) {
  let told = null;
  try {
    told = JSON.parse(noted);
  } catch {
    return { later: false, wishes: {} }; // nothing noted yet, or not by us
  }
  const wishes = Object.entries(told?.wishes ?? {}).filter(([, codes]) => isWish(codes));
  return { later: told?.later === true, wishes: Object.fromEntries(wishes) };
}

/** Somebody wishes some lessons to be told, or none any more. */
export const wished = ({ later, wishes }, person, codes) => ({
  later,
  wishes: { ...wishes, [person]: codes },
});

/** The server knows some lessons of a person; what was wished since then is still to be sent. */
export function delivered({ later, wishes }, person, codes) {
  const { [person]: wish = [], ...others } = wishes;
  const isSame = wish.join() === codes.join();
  return { later, wishes: isSame ? others : wishes };
}

/** What is still to be sent, as `{person, lessons}` in the shape that the server takes. */
export const toSend = ({ wishes }) =>
  Object.entries(wishes).map(([person, lessons]) => ({ person: Number(person), lessons }));

/**
 * What there is to show: `told` the people of whom the instructor knows something, or will, each
 * with `lessons` (none: they are to be taken back) and `isSent`; `untold` those beside them who may
 * tell as well; `view` is "told", "ask", "later" where it was put off, or "". After a class nobody
 * is asked any more.
 */
export function atHome({ people, state }, done, { later, wishes }) {
  const told = people
    .map(({ id, name, home = [] }) => ({ id, name, home, wish: wishes[id] }))
    .filter(({ home, wish }) => home.length || wish?.length)
    .map(({ id, name, home, wish }) => ({ id, name, lessons: wish ?? home, isSent: !wish }));
  const mayTell = done.length > 0 && state !== "closed";
  if (told.length) {
    const isTold = ({ id }) => told.some((one) => one.id === id);
    return { view: "told", told, untold: mayTell ? people.filter((one) => !isTold(one)) : [] };
  }
  if (!mayTell) return { view: "", told, untold: [] };
  return { view: later ? "later" : "ask", told, untold: [] };
}
