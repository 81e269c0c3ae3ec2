// What this device keeps, in IndexedDB: the queue, what was acknowledged in the last week, facts.
// A line is said to be kept only after its transaction is complete, asked to be on the disk.

const NAME = "ullage-pad";
const VERSION = 1;
const STRICT = { durability: "strict" };
const OUTCOMES = new Set(["taken", "again", "kept"]);

/** Acknowledged lines are kept so long, for the case that the server is restored from a backup. */
export const KEPT_MS = 7 * 86_400_000;

let opening = null;

function upgrade(database) {
  const queue = database.createObjectStore("queue", { keyPath: "n", autoIncrement: true });
  queue.createIndex("id", "id", { unique: true });
  const acked = database.createObjectStore("acked", { keyPath: "id" });
  acked.createIndex("record", "record");
  database.createObjectStore("facts");
}

function opened() {
  opening ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => upgrade(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close();
      asked.result.onclose = () => { opening = null; };
      resolve(asked.result);
    };
  }).catch((why) => {
    opening = null;
    throw why;
  });
  return opening;
}

function answer(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function complete(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new Error("The store gave up."));
    transaction.onerror = () => reject(transaction.error);
  });
}

async function within(stores, mode, work) {
  const database = await opened();
  const transaction = database.transaction(stores, mode, STRICT);
  const ended = complete(transaction);
  const [found] = await Promise.all([work(transaction), ended]);
  return found;
}

/** Keep lines, all or none; resolves once they are on this device. */
export function keep(lines) {
  return within(["queue"], "readwrite", async (transaction) => {
    const queue = transaction.objectStore("queue");
    await Promise.all(lines.map((line) => answer(queue.add(line))));
  });
}

/** Every line that waits, in the order in which it was written. */
export function waiting() {
  return within(["queue"], "readonly", (transaction) =>
    answer(transaction.objectStore("queue").getAll()));
}

/** Lines of a record that the server has, or keeps aside; the newest first. */
export async function acknowledged(record) {
  const found = await within(["acked"], "readonly", (transaction) =>
    answer(transaction.objectStore("acked").index("record").getAll(record)));
  return found.sort((one, other) => other.n - one.n);
}

/** Move what the server acknowledged out of the queue, in one step; returns the lines moved. */
export function settle(results, epoch, at) {
  return within(["queue", "acked"], "readwrite", async (transaction) => {
    const queue = transaction.objectStore("queue");
    const moved = [];
    for (const one of results.filter(({ outcome }) => OUTCOMES.has(outcome))) {
      const line = await answer(queue.index("id").get(one.id));
      if (!line) continue;
      const { outcome, order, says = "", asks = "" } = one;
      const told = { outcome, order, says, asks: asks || line.asks || "", epoch, acked_at: at };
      delete line.refused;
      moved.push({ ...line, ...told });
      transaction.objectStore("acked").put(moved.at(-1));
      queue.delete(line.n);
    }
    return moved;
  });
}

/** Mark a line that the server cannot read; it stays here, and the next ones are sent. */
export function refuse(n, says) {
  return within(["queue"], "readwrite", async (transaction) => {
    const queue = transaction.objectStore("queue");
    const line = await answer(queue.get(n));
    if (line) queue.put({ ...line, refused: says });
  });
}

/** Put acknowledged lines of the last week that another database had back into the queue. */
export function offerAgain(epoch, now) {
  return within(["queue", "acked"], "readwrite", async (transaction) => {
    const acked = transaction.objectStore("acked");
    const there = await answer(acked.getAll());
    const lost = there.filter((one) => one.epoch !== epoch && now - one.acked_at < KEPT_MS);
    for (const { outcome, order, epoch: _, acked_at: __, ...line } of lost) {
      transaction.objectStore("queue").put({ ...line, offered: true });
      acked.delete(line.id);
    }
    return lost.length;
  });
}

/** Let go of what was acknowledged more than a week ago. */
export function forget(now) {
  return within(["acked"], "readwrite", async (transaction) => {
    const acked = transaction.objectStore("acked");
    for (const one of await answer(acked.getAll())) {
      if (now - one.acked_at >= KEPT_MS) acked.delete(one.id);
    }
  });
}

/** Hide a line that the server keeps aside, after a person has read why. */
export function told(id) {
  return within(["acked"], "readwrite", async (transaction) => {
    const acked = transaction.objectStore("acked");
    const line = await answer(acked.get(id));
    if (line) acked.put({ ...line, told: true });
  });
}

/** One fact about this device, such as its ticket or its key; null where there is none. */
export function fact(key) {
  return within(["facts"], "readonly", async (transaction) =>
    (await answer(transaction.objectStore("facts").get(key))) ?? null);
}

/** Keep a fact; null takes it away. */
export function keepFact(key, value) {
  return within(["facts"], "readwrite", (transaction) => {
    const facts = transaction.objectStore("facts");
    return answer(value === null ? facts.delete(key) : facts.put(value, key));
  });
}

/** Try lines again that the server could not read. */
export function retry() {
  return within(["queue"], "readwrite", async (transaction) => {
    const queue = transaction.objectStore("queue");
    for (const { refused, ...line } of await answer(queue.getAll())) {
      if (refused) queue.put(line);
    }
  });
}
