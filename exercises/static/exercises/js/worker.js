/**
 * The service worker: keeps the phone's pages, and only serves. `SHELL` is written before this by
 * exercises/views/shell.py.
 */
const PREFIX = "navclass-";
const NAME = PREFIX + SHELL.version;
const CLASS_PAGE = /^\/c\/[^/]+\/$/;
// a station's card: the front page knows its class where the server cannot be asked
const CARD = /^\/s\/[^/]+\/$/i;
const PATIENCE_MS = 3000;

const fresh = (address) => new Request(address, { cache: "reload" });

self.addEventListener("install", (event) =>
  event.waitUntil(
    (async () => {
      const cache = await caches.open(NAME);
      await cache.addAll([
        ...SHELL.pages.map(fresh),
        ...SHELL.files.map((file) => (file.includes(SHELL.version) ? file : fresh(file))),
      ]);
    })(),
  ),
);

self.addEventListener("activate", (event) =>
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith(PREFIX) && name !== NAME) await caches.delete(name);
      }
      await self.clients.claim();
    })(),
  ),
);

self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
  if (event.data === "claim") event.waitUntil(self.clients.claim());
  if (event.data === "renew") {
    event.waitUntil(
      renew()
        .then(
          () => "renewed",
          () => "failed",
        )
        .then((word) => event.ports[0].postMessage(word)),
    );
  }
});

async function renew() {
  const cache = await caches.open(NAME);
  await cache.addAll(SHELL.pages.map(fresh));
}

/**
 * A page or file as it was kept; its headers are not asked, for the language is the page's own
 * business.
 */
const kept = async (address) => (await caches.open(NAME)).match(address, { ignoreVary: true });

async function fromNetwork(request) {
  const control = new AbortController();
  const timer = setTimeout(() => control.abort(), PATIENCE_MS);
  try {
    return await fetch(request, { signal: control.signal });
  } finally {
    clearTimeout(timer);
  }
}

/**
 * The class and the practice open at once from what was kept; the front page is asked for first.
 */
async function page(request, path) {
  if (CLASS_PAGE.test(path)) return (await kept("/phone/")) ?? fetch(request);
  if (path === "/practice/") return (await kept(path)) ?? fetch(request);
  try {
    // joining may take as long as it takes
    return await (path === "/" || CARD.test(path) ? fromNetwork(request) : fetch(request));
  } catch (error) {
    const front = await kept("/");
    if (front) return front;
    throw error;
  }
}

self.addEventListener("fetch", (event) => {
  const { origin, pathname, search } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== self.location.origin) return;
  if (event.request.mode === "navigate") {
    if (
      pathname === "/practice/" ||
      (pathname === "/" && !search) ||
      pathname.startsWith("/c/") ||
      CARD.test(pathname)
    ) {
      event.respondWith(page(event.request, pathname));
    }
  } else if (SHELL.files.includes(pathname)) {
    event.respondWith(kept(pathname).then((file) => file ?? fetch(event.request)));
  }
});
