/** The page's end of the service worker: registers it, and changes to a new version without losing what is half typed. */
const container = globalThis.navigator?.serviceWorker; // undefined on plain http

/** Whether this page could be opened again without the network. */
export const canReopen = () => Boolean(container?.controller);

/**
 * Registers the worker.
 * @param {object} told `isBusy()` says whether something is half typed; `onReady()` is called once the page can be opened without
 *   the network, `onNews(use)` when a new version waits for a yes, which is `use()`
 */
export async function linkWorker({ isBusy = () => false, onReady = () => {}, onNews = (use) => use() } = {}) {
  if (!container) return;
  const hadOne = canReopen();
  container.addEventListener("controllerchange", () => { if (hadOne) location.reload(); else onReady(); });
  if (hadOne) onReady();
  let registration;
  try {
    registration = await container.register("/sw.js");
  } catch {
    return; // a certificate that the phone does not trust, or storage refused: as on plain http
  }
  const offer = (worker) => {
    const use = () => worker.postMessage("take over");
    if (isBusy()) onNews(use);
    else use();
  };
  if (registration.waiting && hadOne) offer(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const worker = registration.installing;
    worker.addEventListener("statechange", () => { if (worker.state === "installed" && hadOne) offer(worker); });
  });
  const { active } = await container.ready;
  if (!canReopen()) active.postMessage("claim"); // it became active while this page was on its way, and missed it
}

/** Fetches the kept pages anew, as after a change of language. Without the network they stay as they are. */
export async function renewPages() {
  if (!canReopen()) return;
  await new Promise((resolve) => {
    const channel = new MessageChannel();
    channel.port1.onmessage = resolve;
    container.controller.postMessage("renew", [channel.port2]);
  });
}
