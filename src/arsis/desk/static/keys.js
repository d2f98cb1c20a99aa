// @ts-check
// Every key of the desk in one list: what runs it, and what the help shows.
import { signal } from "./vendor/signals.js";

/** @typedef {{ key: string, does: string, run: (event: KeyboardEvent) => void, where?: string }} Key
 * key: as `event.key` has it, with `Ctrl+`, `Alt+` and `Shift+` before it in this order (Ctrl is Command on a Mac).
 * does: empty where another entry says it. where: the part of the desk, as a heading of the help. */

/** @type {import("./vendor/signals.js").Signal<Key[]>} */
export const keys = signal(/** @type {Key[]} */ ([]));

/** @param {Key[]} more */
export function addKeys(more) {
  keys.value = [...keys.value, ...more];
}

/** @param {KeyboardEvent} event */
export function named(event) {
  const letter = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  const shifted = event.shiftKey && (event.key.length > 1 || /[a-z]/i.test(event.key));
  return [event.ctrlKey || event.metaKey ? "Ctrl" : "", event.altKey ? "Alt" : "", shifted ? "Shift" : "",
    letter === " " ? "Space" : letter].filter(Boolean).join("+");
}

/** Keys that a field or a control uses itself stay its own. @param {KeyboardEvent} event */
function taken(event) {
  const at = /** @type {HTMLElement} */ (event.target);
  if (event.ctrlKey || event.metaKey) return at.matches("textarea, input:not([type=range], [type=checkbox], [type=radio])");
  if (at.matches("textarea, select, input:not([type=range], [type=checkbox], [type=radio])")) return true;
  if (event.key === " ") return at.matches("button, input[type=checkbox], input[type=radio], summary");
  return /^(Arrow|Home|End|Page)/.test(event.key) && at.matches("input, [role=slider], [role=separator]");
}

/** Runs what a key stands for. @param {KeyboardEvent} event */
export function press(event) {
  if (event.defaultPrevented || document.querySelector("dialog[open]") || taken(event)) return;
  const found = keys.value.find((one) => one.key === named(event));
  if (!found) return;
  event.preventDefault();
  found.run(event);
}
