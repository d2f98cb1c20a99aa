// @ts-check
// Asking the server, with one shape for every fault; and its news.

/** What the server said no to. */
export class Refused extends Error {
  /** @param {string} message @param {number} status @param {any[]} faults */
  constructor(message, status, faults = []) {
    super(message);
    this.status = status;
    this.faults = faults;
  }
}

/** Asks for JSON. @param {string} path @param {any} [body] @param {string} [method] @returns {Promise<any>} */
export async function ask(path, body, method = body === undefined ? "GET" : "POST") {
  const answer = await reach(path, {
    method,
    headers: body === undefined ? {} : { "content-type": "application/json" },
    body: body === undefined ? undefined : JSON.stringify(body),
  });
  return answer.status === 204 ? null : answer.json();
}

/** Asks for anything. @param {string} path @param {RequestInit} [options] */
export async function reach(path, options) {
  let answer;
  try {
    answer = await fetch(path, options);
  } catch {
    throw new Refused("the server cannot be reached; is it still running?", 0);
  }
  if (answer.ok) return answer;
  const told = await answer.json().catch(() => ({ error: `the server answered ${answer.status}`, faults: [] }));
  throw new Refused(told.error, answer.status, told.faults);
}

/** @type {Map<string, Set<(value: any) => void>>} */
const hearers = new Map();
/** @type {EventSource | null} */
let source = null;

/** Hears news of one kind: `song`, `shape`, `exact`, `beats`, `sounds`, `job`, `mix`, `notice`, `hello`, and `gone` when the server is.
 * @param {string} name @param {(value: any) => void} hear @returns {() => void} ends it */
export function hear(name, hear) {
  if (!hearers.has(name)) hearers.set(name, new Set());
  hearers.get(name)?.add(hear);
  source?.addEventListener(name, heard);
  return () => hearers.get(name)?.delete(hear);
}

/** Opens the event stream; the browser comes back by itself when the server does. */
export function listen() {
  source?.close();
  source = new EventSource("/api/events");
  for (const name of hearers.keys()) if (name !== "gone") source.addEventListener(name, heard);
  source.onerror = () => tell("gone", {});
}

/** Gives the connection back: a browser has six for one server. */
export function rest() {
  source?.close();
  source = null;
}

/** @param {MessageEvent} message */
function heard(message) {
  tell(message.type, JSON.parse(message.data));
}

/** @param {string} name @param {any} value */
function tell(name, value) {
  for (const one of hearers.get(name) ?? []) one(value);
}
