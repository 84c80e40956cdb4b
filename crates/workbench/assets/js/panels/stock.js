// Stock: how many plants can be had, what they cost, and what ground each line takes.
import { read } from '../api.js';
import { announce } from '../announce.js';
import { button, h, id, put } from '../dom.js';
import { change } from '../plan.js';
import { lookOf } from '../palette.js';
import { swatch } from '../patterns.js';
import { on, state } from '../store.js';
import { trapezoid } from '../trapezoid.js';
import { number } from '../words.js';

const CORNERS = [
  ['none_below', 'none at or below'], ['full_from', 'full from'], ['full_to', 'full to'], ['none_above', 'none at or above'],
];

/** @returns {HTMLElement} the panel */
export function stockPanel() {
  const list = h('div');
  const panel = h('div', { class: 'panel' }, h('h2', {}, 'Stock'),
    h('p', { class: 'hint' }, 'What can be planted. A line grows fully between its two middle corners and not at all beyond the outer two; an empty corner sets no limit at that end.'), list);
  let known = '';
  on('scene', async () => {
    const stock = await read('/api/stock');
    const now = JSON.stringify(stock);
    if (now === known) return;
    known = now;
    draw(list, stock);
  });
  return panel;
}

function draw(list, { factors, lines }) {
  const open = new Set([...list.querySelectorAll('details[open]')].map((one) => one.dataset.key));
  const held = list.contains(document.activeElement) ? document.activeElement.dataset.keep : null;
  put(list, ...lines.map((line) => lineBox(line, factors, open)));
  if (held) list.querySelector(`[data-keep="${CSS.escape(held)}"]`)?.focus({ preventScroll: true });
}

function lineBox(line, factors, open) {
  const shown = state.scene.lines.find((one) => one.stock_id === line.stock_id);
  const look = lookOf(shown ?? line);
  return h('details', { class: 'part', dataset: { key: line.stock_id }, open: open.has(line.stock_id) },
    h('summary', {}, swatch(look), ` ${line.name} `, h('span', { class: 'quiet' }, line.kind === 'seed_line' ? 'local seed' : 'cultivar')),
    amount(line, 'supply', 'Plants that can be had', 'plants', 'not limited', (value) => ({ supply: { line: line.stock_id, plants: value } })),
    amount(line, 'price_nzd', 'Price of one plant', 'NZ$', 'not known', (value) => ({ price: { line: line.stock_id, nzd: value } })),
    line.min_lot ? h('p', { class: 'hint' }, `Smallest order: ${number(line.min_lot)} plants.`) : null,
    h('h3', {}, 'What ground it takes'),
    ...factors.map((factor) => tolerance(line, factor, open)));
}

function amount(line, key, words, unit, standard, body) {
  const input = h('input', { type: 'number', min: 0, step: unit === 'plants' ? 1 : 'any', value: line[key] ?? '', placeholder: standard, id: id('amount'), dataset: { keep: `${line.stock_id}-${key}` } });
  input.addEventListener('change', () => {
    if (input.validity.badInput) return;
    change(body(input.value === '' ? null : Number(input.value)));
  });
  return h('div', { class: 'rule' }, h('label', { for: input.id }, words), h('div', { class: 'value' }, input, h('span', {}, unit)), h('p', { class: 'hint' }, `Empty: ${standard}.`));
}

function tolerance(line, factor, open) {
  const key = `${line.stock_id}.${factor.key}`;
  const corners = line.tolerance[factor.key] ?? {};
  const limited = Object.values(corners).some((one) => one !== null);
  const inputs = CORNERS.map(([corner, words]) => {
    const input = h('input', { type: 'number', step: 'any', value: corners[corner] ?? '', id: id('corner'), dataset: { keep: `${key}.${corner}` } });
    input.addEventListener('change', () => sendCorners(line, factor, inputs));
    return { corner, words, input };
  });
  return h('details', { dataset: { key }, open: open.has(key) },
    h('summary', {}, `${factor.title}${factor.unit ? ` (${factor.unit})` : ''}: ${limited ? inWords(corners) : 'does not limit'}`),
    trapezoid(corners, `${line.name} by ${factor.title.toLowerCase()}: ${limited ? inWords(corners) : 'does not limit'}`),
    h('div', { class: 'corners' }, ...inputs.map(({ words, input }) => h('div', {}, h('label', { for: input.id }, words), input))),
    limited ? button('No limit', () => change({ tolerance: { line: line.stock_id, factor: factor.key, corners: null } }), { 'aria-label': `No limit: ${line.name}, ${factor.title}` }) : null);
}

function sendCorners(line, factor, inputs) {
  if (inputs.some(({ input }) => input.validity.badInput)) {
    announce('That is not a number; nothing changed.');
    return;
  }
  const given = inputs.filter(({ input }) => input.value !== '').map(({ corner, input }) => [corner, Number(input.value)]);
  change({ tolerance: { line: line.stock_id, factor: factor.key, corners: given.length ? Object.fromEntries(given) : null } });
}

function inWords(corners) {
  return CORNERS.filter(([corner]) => corners[corner] !== undefined && corners[corner] !== null).map(([corner, words]) => `${words} ${corners[corner]}`).join(', ');
}
