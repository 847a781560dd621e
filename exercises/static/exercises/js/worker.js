/**
 * The service worker: keeps the phone's pages, and only serves. `SHELL` is written before this by
 * exercises/views/shell.py.
 */
const PREFIX = "navclass-";
const NAME = PREFIX + SHELL.version;
const CLASS_PAGE = /^\/c\/[^/]+\/$/;
// a station's card: the front page knows its class where the server cannot be asked
const CARD = /^\/s\/[^/]+\/$/i;
const PRACTICE = "/practice/";
const WORDS = "/words/";
const PATIENCE_MS = 3000;

const fresh = (address) => new Request(address, { cache: "reload" });

self.addEventListener("install", (event) =>
  event.waitUntil(
    (async () => {
      const cache = await caches.open(NAME);
      await cache.addAll([
        ...SHELL.pages.map(fresh),
        ...(await linksBefore()).map(fresh),
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
  if (event.data?.keep) event.waitUntil(keepLink(event.data.keep));
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
  await cache.addAll([...SHELL.pages, ...(await links(cache))].map(fresh));
}

/** The addresses of instructors' links to the practice page that a cache holds. */
async function links(cache) {
  const addresses = (await cache.keys()).map(({ url }) => new URL(url));
  return addresses
    .filter(({ pathname, search }) => pathname === PRACTICE && search)
    .map(({ pathname, search }) => pathname + search);
}

/** Keeps the practice page of one link, which the page has read and found good, and no other. */
async function keepLink(address) {
  if (!address.startsWith(`${PRACTICE}?`)) return;
  const cache = await caches.open(NAME);
  const before = await links(cache);
  if (before.includes(address)) return;
  await cache.add(fresh(address));
  for (const link of before) await cache.delete(link);
}

/** The links that an earlier version kept. */
async function linksBefore() {
  const names = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== NAME);
  const found = await Promise.all(names.map(async (name) => links(await caches.open(name))));
  return found.flat();
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

/** The practice page of a link that is not kept: as usual where there is no signal. */
async function practice(request) {
  try {
    return await fetch(request);
  } catch (error) {
    const usual = await kept(PRACTICE);
    if (usual) return usual;
    throw error;
  }
}

/**
 * The class, the practice and the words open at once from what was kept; the front page is asked
 * for first.
 */
async function page(request, path, search) {
  if (CLASS_PAGE.test(path)) return (await kept("/phone/")) ?? fetch(request);
  if (path === WORDS) return (await kept(WORDS)) ?? fetch(request);
  if (path === PRACTICE) return (await kept(path + search)) ?? practice(request);
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
      pathname === PRACTICE ||
      pathname === WORDS ||
      (pathname === "/" && !search) ||
      pathname.startsWith("/c/") ||
      CARD.test(pathname)
    ) {
      event.respondWith(page(event.request, pathname, search));
    }
  } else if (SHELL.files.includes(pathname)) {
    event.respondWith(kept(pathname).then((file) => file ?? fetch(event.request)));
  }
});
