// Stock: how many plants can be had, what they cost, and what ground each line takes.
import { button, h, id, put } from '../dom.js';
import { entry, numberOf } from '../entry.js';
import { keeping } from '../focus.js';
import { follow } from '../followed.js';
import { change } from '../plan.js';
import { lookOf } from '../palette.js';
import { swatch } from '../patterns.js';
import { state } from '../store.js';
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
  let boxes = new Map();
  follow('/api/stock', ({ factors, lines }) => {
    if (lines.length !== boxes.size || lines.some((line) => !boxes.has(line.stock_id))) {
      boxes = new Map(lines.map((line) => [line.stock_id, lineBox(line, factors)]));
      put(list, ...[...boxes.values()].map((one) => one.box));
    }
    for (const line of lines) boxes.get(line.stock_id).show(line);
  });
  return panel;
}

/** One line; it is drawn once and then shows what holds. */
function lineBox({ stock_id: line, name, kind, supply_by_winter: byWinter, min_lot: least }, factors) {
  const look = h('span');
  const supply = byWinter ? toldByWinter()
    : amount({ words: 'Plants that can be had', unit: 'plants', empty: 'not limited', keep: `${line}-supply` }, (plants) => ({ supply: { line, plants } }));
  const price = amount({ words: 'Price of one plant', unit: 'NZ$', empty: 'not known', keep: `${line}-price_nzd` }, (nzd) => ({ price: { line, nzd } }));
  const tolerances = factors.map((factor) => tolerance({ line, name }, factor));
  const box = h('details', { class: 'part' },
    h('summary', {}, look, ` ${name} `, h('span', { class: 'quiet' }, kind === 'seed_line' ? 'local seed' : 'cultivar')),
    supply.box, price.box,
    least ? h('p', { class: 'hint' }, `Smallest order: ${number(least)} plants.`) : null,
    h('h3', {}, 'What ground it takes'), ...tolerances.map((one) => one.box));
  return {
    box,
    show(told) {
      put(look, swatch(lookOf(state.scene.lines.find((one) => one.stock_id === line) ?? told)));
      supply.show(told.supply);
      price.show(told.price_nzd);
      for (const one of tolerances) one.show(told.tolerance[one.key] ?? {});
    },
  };
}

function amount({ words, unit, empty, keep }, body) {
  const input = h('input', { type: 'number', min: 0, step: unit === 'plants' ? 1 : 'any', placeholder: empty, id: id('amount'), dataset: { keep } });
  const own = entry(input, { read: numberOf, empty, send: (value) => change(body(value)) });
  const box = h('div', { class: 'rule' }, h('label', { for: input.id }, words),
    h('div', { class: 'value' }, input, h('span', {}, unit)), own.fault, h('p', { class: 'hint' }, `Empty: ${empty}.`));
  return { box, show: own.show };
}

/** A supply that the file tells winter by winter: its sum is shown and may not be changed here. */
function toldByWinter() {
  const input = h('input', { type: 'number', disabled: true, id: id('amount') });
  const about = h('p', { class: 'hint', id: id('hint') }, 'The sum of what the file tells winter by winter: change it in the stock file.');
  input.setAttribute('aria-describedby', about.id);
  const box = h('div', { class: 'rule' }, h('label', { for: input.id }, 'Plants that can be had, all winters'),
    h('div', { class: 'value' }, input, h('span', {}, 'plants')), about);
  return { box, show: (value) => { input.value = value ?? ''; } };
}

function tolerance({ line, name }, { key, title, unit }) {
  const inputs = CORNERS.map(([corner, words]) => ({ corner, words, input: h('input', { type: 'number', step: 'any', id: id('corner'), dataset: { keep: `${line}.${key}.${corner}` } }) }));
  // The four are one value: each change tells them all.
  const corners = () => {
    const given = inputs.map(({ corner, input }) => [corner, numberOf(input)]).filter(([, value]) => value !== null);
    return given.length ? Object.fromEntries(given) : null;
  };
  const entries = inputs.map(({ input }) => entry(input, { read: corners, empty: 'without limit', send: (value) => change({ tolerance: { line, factor: key, corners: value } }) }));
  const summary = h('summary');
  const drawing = h('div');
  const free = button('No limit', () => {
    for (const one of entries) one.putBack();
    change({ tolerance: { line, factor: key, corners: null } });
  }, { 'aria-label': `No limit: ${name}, ${title}` });
  const box = h('details', {}, summary, drawing,
    h('div', { class: 'corners' }, ...inputs.map(({ words, input }) => h('div', {}, h('label', { for: input.id }, words), input))),
    ...entries.map((one) => one.fault), free);
  return {
    key,
    box,
    show(told) {
      const isLimited = Object.values(told).some((one) => one !== null);
      const words = isLimited ? inWords(told) : 'does not limit';
      summary.textContent = `${title}${unit ? ` (${unit})` : ''}: ${words}`;
      put(drawing, trapezoid(told, `${name} by ${title.toLowerCase()}: ${words}`));
      for (const [at, { corner }] of inputs.entries()) entries[at].show(told[corner]);
      keeping(free, () => { free.hidden = !isLimited; }, () => inputs[0].input);
    },
  };
}

function inWords(corners) {
  return CORNERS.filter(([corner]) => corners[corner] !== undefined && corners[corner] !== null).map(([corner, words]) => `${words} ${corners[corner]}`).join(', ');
}
