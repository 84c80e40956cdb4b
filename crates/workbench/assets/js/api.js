// What is asked of the program, and what it answers. Addresses are of this page's own origin alone.
import { word } from './word.js';

/**
 * @typedef {{severity: 'error'|'warning', file?: string, item: string, place?: [number, number],
 *   found: string, expected: string, remedy: string}} Problem `place`: line and column in the file, from 1
 * @typedef {{name: string, title: string, unit: string, kind: 'text'|'integer'|'real', meaning: string}} Column
 * @typedef {{columns: Column[], rows: (string|number|null)[][]}} Table
 * @typedef {{stock_id: string, name: string, kind: string, letter: string, colour: string, ink: string, pattern: string,
 *   plan_ha: number, seedlings: number, order_qty: number, cost_nzd: number|null, supply: number|null}} Line
 */

/** The program refused, or could not be reached. */
export class Refusal extends Error {
  /** @param {Problem[]} problems what was found wrong */
  constructor(problems) {
    super(problems.map((one) => `${one.item}: ${one.found}`).join('; '));
    this.problems = problems;
  }
}

/** Reads JSON from `path`. @param {string} path */
export function read(path) {
  return ask(path, {});
}

/** Sends `body` to `path` and reads what comes back. @param {string} path @param {unknown} body */
export function send(path, body) {
  return ask(path, { method: 'POST', headers: { 'content-type': 'application/json', ...worded() }, body: JSON.stringify(body) });
}

/** Sends a file as it is to `path`. @param {string} path @param {Blob} file */
export function sendFile(path, file) {
  return ask(path, { method: 'PUT', headers: worded(), body: file });
}

/** What every request carries that changes something. @returns {Record<string, string>} */
function worded() {
  return word() ? { 'x-hillweave-word': word() } : {};
}

/** Reads bytes from `path`. @param {string} path @returns {Promise<ArrayBuffer>} */
export async function readBytes(path) {
  const answer = await reach(path, {});
  if (!answer.ok) throw new Refusal(await problemsOf(answer, path));
  return answer.arrayBuffer();
}

async function ask(path, options) {
  const answer = await reach(path, options);
  if (!answer.ok) throw new Refusal(await problemsOf(answer, path));
  return answer.json();
}

async function reach(path, options) {
  try {
    return await fetch(path, options);
  } catch (fault) {
    throw new Refusal([{
      severity: 'error',
      item: path,
      found: `no answer (${fault.message})`,
      expected: 'an answer of the program that opened this page',
      remedy: 'see whether it still runs where you started it; then load this page again',
    }]);
  }
}

async function problemsOf(answer, path) {
  const told = await answer.json().catch(() => null);
  if (told?.problems?.length) return told.problems;
  return [{
    severity: 'error',
    item: path,
    found: `status ${answer.status}`,
    expected: 'an answer',
    remedy: 'load this page again; if it comes back, report it with the site folder',
  }];
}
