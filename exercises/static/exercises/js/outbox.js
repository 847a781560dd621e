/** Readings that the server does not have yet, in the phone's own database. It only stores. */

const NAME = "navclass";
const STORE = "outbox";

/** A random version 4 UUID. crypto.randomUUID is missing on plain http. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "id" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

/** Runs one request in a transaction; settles when the transaction has completed, which is when it is kept. */
async function run(mode, ask) {
  const database = await open();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction(STORE, mode);
      const request = ask(transaction.objectStore(STORE));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onerror = transaction.onabort = () => reject(transaction.error);
    });
  } finally {
    database.close();
  }
}

/** Keeps a reading; resolves once it would survive a flat battery. */
export const keep = (reading) => run("readwrite", (store) => store.put(reading));

/** Forgets a reading that the server has. */
export const forget = (id) => run("readwrite", (store) => store.delete(id));

/** The readings kept for a class, oldest first. */
export async function waiting(code) {
  const all = await run("readonly", (store) => store.getAll());
  return all.filter((reading) => reading.code === code).sort((a, b) => a.measured_at.localeCompare(b.measured_at));
}
