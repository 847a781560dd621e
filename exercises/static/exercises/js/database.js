/**
 * The phone's own database: readings to send, and what is known of a class. It may be refused (a
 * private window) or full.
 */
const NAME = "navclass";
const VERSION = 2;
// some browsers leave a database hanging after the page was in the background: as good as refused
const PATIENCE_MS = 4000;
const STORES = { outbox: "id", classes: "code" };

function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(STORES)) {
        if (!asked.result.objectStoreNames.contains(name)) {
          asked.result.createObjectStore(name, { keyPath });
        }
      }
    };
    asked.onsuccess = () => {
      // a newer page in another tab must not wait for this one
      asked.result.onversionchange = () => asked.result.close();
      resolve(asked.result);
    };
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("blocked"));
  });
}

/**
 * Runs one request on a store; settles when the transaction has completed and is on the disk, which
 * is when a thing is kept.
 * @param {"outbox"|"classes"} store
 * @param {"readonly"|"readwrite"} mode
 * @param {(store: IDBObjectStore) => IDBRequest} ask
 */
export function run(store, mode, ask) {
  const late = new Promise((_, reject) => {
    setTimeout(() => reject(new Error("the database does not answer")), PATIENCE_MS);
  });
  return Promise.race([runNow(store, mode, ask), late]);
}

async function runNow(store, mode, ask) {
  const database = await open();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction(store, mode, { durability: "strict" });
      const request = ask(transaction.objectStore(store));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onerror = transaction.onabort = () => reject(transaction.error);
    });
  } finally {
    database.close();
  }
}
