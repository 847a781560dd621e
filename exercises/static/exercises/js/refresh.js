/** Fetches the marked part of a page again and again, so that readings are seen to arrive. */
const EVERY_MS = 5000;
const part = document.querySelector("[data-refresh]");

setInterval(async () => {
  if (document.hidden) return;
  try {
    const answer = await fetch(part.dataset.refresh);
    if (answer.ok && !answer.redirected) part.innerHTML = await answer.text();
  } catch {
    return; // no connection: the old part stays, the next turn tries again
  }
}, EVERY_MS);
