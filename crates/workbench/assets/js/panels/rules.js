// Rules of the site, made from what the program says of each key.
import { button, h, id, put } from '../dom.js';
import { entry, numberOf, numbersOf, textOf } from '../entry.js';
import { keeping } from '../focus.js';
import { follow } from '../followed.js';
import { change } from '../plan.js';
import { plainUnit } from '../words.js';

const STAGES = { read: 'layers', ground: 'ground', zones: 'zones', fit: 'fit', mosaic: 'lines', counts: 'counts', cover: 'the check of cover', trees: 'places of trees' };
const READERS = { number: numberOf, numbers: numbersOf };

/** @returns {HTMLElement} the panel */
export function rulesPanel() {
  const list = h('div');
  const search = h('input', { type: 'search', id: 'rule-search', oninput: () => sift(list, search.value) });
  const panel = h('div', { class: 'panel' }, h('h2', {}, 'Rules'),
    h('p', { class: 'hint' }, 'A rule that is changed is answered at once. Empty means the default. Local rules and licensed people decide what applies.'),
    h('div', { class: 'field' }, h('label', { for: 'rule-search' }, 'Find a rule'), search), list);
  let rules = null;
  follow('/api/rules', ({ sections }) => {
    rules ??= drawn(list, sections);
    for (const key of sections.flatMap((section) => section.keys)) rules.get(key.path)?.show(key.value);
    if (search.value) sift(list, search.value);
  });
  return panel;
}

/** Draws every rule once: which there are does not change, what they hold does. */
function drawn(list, sections) {
  const rules = new Map(sections.flatMap(({ keys }) => keys).map((key) => [key.path, key.kind === 'choices' ? severalRule(key) : rule(key)]));
  put(list, ...sections.map(({ name, title, keys }, at) => h('details', { class: 'part', open: at === 0 },
    h('summary', {}, title || name), ...keys.map((key) => rules.get(key.path).box))));
  return rules;
}

function rule(key) {
  const input = inputOf(key);
  input.id = id('rule');
  input.dataset.path = key.path;
  const about = h('p', { class: 'hint', id: id('hint') }, `${key.meaning} Default: ${key.standard || 'none'}${key.unit ? ` (${plainUnit(key.unit)})` : ''}.${range(key)} Remakes: ${STAGES[key.answers] ?? key.answers}.`);
  input.setAttribute('aria-describedby', about.id);
  const own = entry(input, { read: READERS[key.kind] ?? textOf, empty: 'the default', send: (value) => change({ rule: { path: key.path, value } }) });
  const reset = resetButton(key, () => own.putBack());
  const box = h('div', { class: 'rule' },
    h('label', { for: input.id }, ...named(key)),
    h('div', { class: 'value' }, input, plainUnit(key.unit ?? '') ? h('span', {}, plainUnit(key.unit)) : null, reset),
    own.fault, about);
  return { box, show: (value) => { own.show(listed(value)); mark(box, reset, isSet(value), input); } };
}

/** A key whose value is several of some words: a box to tick for each. */
function severalRule(key) {
  const boxes = key.choices.map((choice) => {
    const box = h('input', { type: 'checkbox', id: id('rule'), dataset: { path: `${key.path} ${choice}` } });
    const ticked = () => key.choices.filter((_, at) => boxes[at].own.input.checked);
    const own = entry(box, { read: ticked, send: (value) => change({ rule: { path: key.path, value } }) });
    return { choice, own, row: h('div', {}, h('div', { class: 'tick' }, box, h('label', { for: box.id }, choice.replaceAll('_', ' '))), own.fault) };
  });
  const reset = resetButton(key, () => {});
  const box = h('fieldset', { class: 'rule several' }, h('legend', {}, ...named(key)), ...boxes.map((one) => one.row), reset,
    h('p', { class: 'hint' }, `${key.meaning} Default: ${key.standard}. Remakes: ${STAGES[key.answers] ?? key.answers}.`));
  return {
    box,
    show(value) {
      for (const { choice, own } of boxes) own.show(isSet(value) && value.includes(choice));
      mark(box, reset, isSet(value), boxes[0].own.input);
    },
  };
}

function resetButton(key, putBack) {
  return button('Back to default', () => { putBack(); change({ rule: { path: key.path, value: null } }); },
    { 'aria-label': `Back to default: ${key.name}`, hidden: true });
}

/** Shows whether a rule is set. */
function mark(box, reset, is, input) {
  box.classList.toggle('set', is);
  keeping(reset, () => { reset.hidden = !is; }, () => input);
}

function isSet(value) {
  return value !== null && value !== undefined;
}

function listed(value) {
  return Array.isArray(value) ? value.join(', ') : value;
}

/** What a rule is called, and where it stands in the file. */
function named({ name, path }) {
  return [`${name.charAt(0).toUpperCase()}${name.slice(1)} `, h('span', { class: 'path' }, spaced(path))];
}

/** A path with places where a long one may break. */
function spaced(path) {
  return path.replaceAll(/([._])/g, '$1\u200b');
}

function range({ kind, least, most }) {
  return kind === 'number' && isSet(least) && isSet(most) ? ` From ${least} to ${most}.` : '';
}

function inputOf({ kind, choices }) {
  if (kind === 'choice') return h('select', {}, h('option', { value: '' }, 'default'), ...choices.map((one) => h('option', { value: one }, one)));
  return h('input', { ...(kind === 'number' ? { type: 'number', step: 'any' } : { type: 'text', class: 'long' }), placeholder: 'default' });
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
