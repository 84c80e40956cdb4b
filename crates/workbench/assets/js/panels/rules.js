// Rules of the site, made from what the program says of each key.
import { read } from '../api.js';
import { announce } from '../announce.js';
import { button, h, id, put } from '../dom.js';
import { change } from '../plan.js';
import { on } from '../store.js';
import { plainUnit } from '../words.js';

const STAGES = { read: 'layers', ground: 'ground', zones: 'zones', fit: 'fit', mosaic: 'lines', counts: 'counts', cover: 'the check of cover' };

/** @returns {HTMLElement} the panel */
export function rulesPanel() {
  const list = h('div');
  const search = h('input', { type: 'search', id: 'rule-search', oninput: () => sift(list, search.value) });
  const panel = h('div', { class: 'panel' }, h('h2', {}, 'Rules'),
    h('p', { class: 'hint' }, 'A rule that is changed is answered at once. Empty means the default. Local rules and licensed people decide what applies.'),
    h('div', { class: 'field' }, h('label', { for: 'rule-search' }, 'Find a rule'), search), list);
  let known = '';
  on('scene', async () => {
    const { sections } = await read('/api/rules');
    const now = JSON.stringify(sections);
    if (now === known) return;
    known = now;
    draw(list, sections);
    sift(list, search.value);
  });
  return panel;
}

function draw(list, sections) {
  const open = new Set([...list.querySelectorAll('details[open]')].map((one) => one.dataset.section));
  const held = list.contains(document.activeElement) ? document.activeElement.dataset.path : null;
  if (list.children.length === 0 && sections.length) open.add(sections[0].name);
  put(list, ...sections.map((section) => h('details', { class: 'part', dataset: { section: section.name }, open: open.has(section.name) },
    h('summary', {}, section.title || section.name), ...section.keys.map(rule))));
  if (held) list.querySelector(`[data-path="${CSS.escape(held)}"]`)?.focus({ preventScroll: true });
}

function rule(key) {
  if (key.kind === 'choices') return severalRule(key);
  const input = inputOf(key);
  input.id = id('rule');
  input.dataset.path = key.path;
  const hint = h('p', { class: 'hint', id: id('hint') }, key.meaning, ' ', h('span', {}, `Default: ${key.standard || 'none'}${key.unit ? ` (${plainUnit(key.unit)})` : ''}.${range(key)} Remakes: ${STAGES[key.answers] ?? key.answers}.`));
  input.setAttribute('aria-describedby', hint.id);
  input.addEventListener('change', () => {
    const value = valueOf(input, key);
    if (value === undefined) {
      announce(`${key.path}: that is not a number; nothing changed.`);
      return;
    }
    change({ rule: { path: key.path, value } }).then((done) => { if (!done) input.setAttribute('aria-invalid', 'true'); });
  });
  const set = key.value !== null && key.value !== undefined;
  return h('div', { class: set ? 'rule set' : 'rule' },
    h('label', { for: input.id }, spaced(key.path)),
    h('div', { class: 'value' }, input, plainUnit(key.unit ?? '') ? h('span', {}, plainUnit(key.unit)) : null,
      set ? button('Back to default', () => change({ rule: { path: key.path, value: null } }), { 'aria-label': `Back to default: ${key.path}` }) : null),
    hint);
}

/** A key whose value is several of some words: a box to tick for each. */
function severalRule(key) {
  const set = key.value !== null && key.value !== undefined;
  const boxes = key.choices.map((choice) => {
    const box = h('input', { type: 'checkbox', id: id('rule'), dataset: { path: `${key.path} ${choice}` } });
    box.checked = set && key.value.includes(choice);
    box.addEventListener('change', () => change({ rule: { path: key.path, value: key.choices.filter((_, at) => boxes[at].box.checked) } }));
    return { box, row: h('div', { class: 'tick' }, box, h('label', { for: box.id }, choice.replaceAll('_', ' '))) };
  });
  return h('fieldset', { class: set ? 'rule several set' : 'rule several' }, h('legend', {}, spaced(key.path)), ...boxes.map((one) => one.row),
    set ? button('Back to default', () => change({ rule: { path: key.path, value: null } }), { 'aria-label': `Back to default: ${key.path}` }) : null,
    h('p', { class: 'hint' }, `${key.meaning} Default: ${key.standard}. Remakes: ${STAGES[key.answers] ?? key.answers}.`));
}

/** A key with places where a long one may break. */
function spaced(path) {
  return path.replaceAll(/([._])/g, '$1\u200b');
}

function range({ kind, least, most }) {
  if (kind !== 'number' && kind !== 'whole') return '';
  if (least !== undefined && most !== undefined && least !== null && most !== null) return ` From ${least} to ${most}.`;
  return '';
}

function inputOf(key) {
  const { kind, value } = key;
  if (kind === 'choice' || kind === 'flag') {
    const choices = kind === 'flag' ? [['true', 'yes'], ['false', 'no']] : (key.choices ?? []).map((one) => [String(one), String(one)]);
    const select = h('select', {}, h('option', { value: '' }, 'default'), ...choices.map(([what, words]) => h('option', { value: what }, words)));
    select.value = value === null || value === undefined ? '' : String(value);
    return select;
  }
  const plain = kind === 'number' || kind === 'whole';
  const input = h('input', plain
    ? { type: 'number', step: kind === 'whole' ? 1 : 'any', min: key.least, max: key.most }
    : { type: 'text', class: 'long' });
  input.value = value === null || value === undefined ? '' : Array.isArray(value) ? value.join(', ') : String(value);
  input.placeholder = 'default';
  return input;
}

/** What a field holds; `undefined` where it is not a number. */
function valueOf(input, { kind }) {
  if (input.validity?.badInput) return undefined;
  if (input.value.trim() === '') return null;
  if (kind === 'numbers') return numbersIn(input.value);
  if (kind === 'flag') return input.value === 'true';
  if (kind === 'number' || kind === 'whole') return Number(input.value);
  return input.value;
}

/** Numbers with commas or blanks between; `undefined` where one is none. */
function numbersIn(text) {
  const numbers = text.replaceAll(/[[\]]/g, '').split(/[\s,;]+/).filter(Boolean).map(Number);
  return numbers.some(Number.isNaN) ? undefined : numbers;
}

function sift(list, text) {
  const wanted = text.trim().toLowerCase();
  for (const section of list.children) {
    let some = false;
    for (const one of section.querySelectorAll('.rule')) {
      one.hidden = wanted !== '' && !one.textContent.replaceAll('\u200b', '').toLowerCase().includes(wanted);
      some ||= !one.hidden;
    }
    section.hidden = !some;
    if (wanted && some) section.open = true;
  }
}
