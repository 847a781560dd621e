/**
 * The page's end of the service worker: registers it, and changes to a new version without losing
 * what is half typed.
 */
const container = globalThis.navigator?.serviceWorker; // undefined on plain http

/** Whether this page could be opened again without the network. */
export const canReopen = () => Boolean(container?.controller);

/**
 * Registers the worker.
 * @param {object} told `isBusy()` says whether something would be lost with the page; `onReady()`
 *   is called once the page can be opened without the network, `onNews(use)` when a new version
 *   waits for a yes, which is `use()`
 */
export async function linkWorker({
  isBusy = () => false,
  onReady = () => {},
  onNews = () => {},
} = {}) {
  if (!container) return;
  // the first worker makes the page ready, each later one is a new version
  let isKept = canReopen();
  let agreed = false;
  const renew = () => {
    if (isBusy() && !agreed) onNews(() => location.reload());
    else location.reload();
  };
  container.addEventListener("controllerchange", () => {
    if (isKept) renew();
    isKept = true;
    onReady();
  });
  if (isKept) onReady();
  let registration;
  try {
    registration = await container.register("/sw.js");
  } catch {
    return; // a certificate that the phone does not trust, or storage refused: as on plain http
  }
  const offer = (worker) => {
    const use = () => worker.postMessage("take over");
    if (isBusy()) {
      onNews(() => {
        agreed = true;
        use();
      });
    } else use();
  };
  const watch = (worker) =>
    worker?.addEventListener("statechange", () => {
      if (worker.state === "installed" && isKept) offer(worker);
    });
  if (registration.waiting && isKept) offer(registration.waiting);
  watch(registration.installing);
  registration.addEventListener("updatefound", () => watch(registration.installing));
  const { active } = await container.ready;
  // it became active while this page was on its way, and missed it
  if (!canReopen()) active.postMessage("claim");
}

/**
 * Fetches the kept pages anew, as after a change of language; whether that went well. Without a
 * worker there is nothing to renew.
 */
export async function renewPages() {
  if (!canReopen()) return true;
  return new Promise((resolve) => {
    const channel = new MessageChannel();
    channel.port1.onmessage = ({ data }) => resolve(data === "renewed");
    container.controller.postMessage("renew", [channel.port2]);
  });
}

/** Asks the worker to keep this page with the whole of its address. */
export function keepPage() {
  container.controller.postMessage({ keep: location.pathname + location.search });
}
