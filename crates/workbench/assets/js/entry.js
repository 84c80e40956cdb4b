// A field that sends what it holds: what is being typed stays, and what is wrong is said beside it.
import { announce } from './announce.js';
import { button, h, id, put } from './dom.js';

/** What cannot be sent as it stands. */
export class Unfit extends Error {}

/**
 * Has `input` send its value when it is left or chosen.
 *
 * @param {HTMLInputElement|HTMLSelectElement} input
 * @param {{read?: (input: HTMLInputElement) => any, send: (value: any) => Promise<import('./api.js').Problem[]>,
 *   empty?: string}} told `read`: the value of what is typed, or an {@link Unfit}; `empty`: what holds while it is empty
 * @returns {{input: HTMLElement, fault: HTMLElement, show: (value: any) => void, putBack: () => void}} `fault`: where it
 *   is said what is wrong; `show`: tells what the plan has, which a field with other words in it does not take
 */
export function entry(input, { read = textOf, send, empty = 'empty' }) {
  const isBox = input.type === 'checkbox';
  const isTyped = !isBox && input.tagName !== 'SELECT';
  const fault = h('p', { class: 'fault', id: id('fault'), hidden: true });
  let held = contents(); // what the plan has
  let asked = held; // what was sent last
  let waits = 0; // answers that are not here yet
  let blame = null; // what is wrong, in words

  function contents() {
    return isBox ? input.checked : input.value;
  }

  function fill(value) {
    if (isBox) input.checked = value;
    else if (contents() !== value || input.validity.badInput) input.value = value;
  }

  function isClean() {
    return contents() === held && !input.validity.badInput;
  }

  function accuse(words) {
    blame = words;
    const back = isTyped ? button(held === '' ? 'Empty it' : `Put ${held} back`, () => { putBack(); input.focus(); }) : null;
    put(fault, `${words} `, isTyped ? `It is still ${held === '' ? empty : held}. ` : '', back);
    fault.hidden = false;
    input.setAttribute('aria-invalid', 'true');
    describedBy(input, fault.id, true);
    if (document.activeElement === input) fault.scrollIntoView({ block: 'nearest' });
  }

  function clear() {
    blame = null;
    fault.hidden = true;
    put(fault);
    input.removeAttribute('aria-invalid');
    describedBy(input, fault.id, false);
  }

  function putBack() {
    fill(held);
    asked = held;
    clear();
  }

  async function leave() {
    let value;
    try {
      value = read(input);
    } catch (unfit) {
      if (!(unfit instanceof Unfit)) throw unfit;
      accuse(unfit.message);
      announce(`${unfit.message} Nothing changed.`);
      return;
    }
    const mine = contents();
    if (mine === held && waits === 0) putBack();
    if (mine === asked) return;
    asked = mine;
    waits += 1;
    const problems = await send(value);
    waits -= 1;
    if (problems.length === 0) {
      held = mine;
      if (asked === mine) clear();
      return;
    }
    if (!isTyped) putBack();
    accuse(`Not done: ${problems.map((one) => `found ${one.found}, expected ${one.expected}`).join('; ')}.`);
  }

  input.addEventListener('change', leave);
  return {
    input,
    fault,
    show(value) {
      const now = isBox ? Boolean(value) : String(value ?? '');
      const isNews = now !== held;
      const isFree = isClean();
      held = now;
      if (isFree) fill(held);
      if (waits === 0 && contents() === held) asked = held;
      if (isClean() && (isTyped || isNews)) clear();
      else if (blame && isNews) accuse(blame);
    },
    putBack,
  };
}

/** Sends what is being typed, as leaving the field would. */
export function commit() {
  const { activeElement: at } = document;
  if (at instanceof HTMLInputElement || at instanceof HTMLTextAreaElement) at.dispatchEvent(new Event('change', { bubbles: true }));
}

/** The number in a field, `null` where it is empty. Its own limits and steps hold. @param {HTMLInputElement} input */
export function numberOf(input) {
  const { validity, min, max } = input;
  if (validity.badInput) throw new Unfit('That is not a number.');
  if (input.value.trim() === '') return null;
  if (validity.rangeUnderflow) throw new Unfit(`Not under ${min}.`);
  if (validity.rangeOverflow) throw new Unfit(`Not over ${max}.`);
  if (validity.stepMismatch) throw new Unfit('A whole number is wanted.');
  return Number(input.value);
}

/** Several numbers with commas or blanks between, `null` where there is none. @param {HTMLInputElement} input */
export function numbersOf(input) {
  const numbers = input.value.replaceAll(/[[\]]/g, '').split(/[\s,;]+/).filter(Boolean).map(Number);
  if (numbers.some(Number.isNaN)) throw new Unfit('Numbers are wanted, with commas between.');
  return numbers.length ? numbers : null;
}

/** The words in a field, `null` where it is empty. @param {HTMLInputElement} input */
export function textOf(input) {
  return input.type === 'checkbox' ? input.checked : input.value.trim() === '' ? null : input.value;
}

function describedBy(input, name, is) {
  const names = new Set((input.getAttribute('aria-describedby') ?? '').split(' ').filter(Boolean));
  if (is) names.add(name);
  else names.delete(name);
  if (names.size) input.setAttribute('aria-describedby', [...names].join(' '));
  else input.removeAttribute('aria-describedby');
}
