// What each layer is for: a suggestion with its reason, and what a person says.
import { Refusal, send } from '../api.js';
import { announce } from '../announce.js';
import { button, field, h, put } from '../dom.js';
import { problemList } from '../problems.js';
import { today } from '../today.js';
import { measured, number } from '../words.js';
import { answers, forgetCodes, keyOf } from './answers.js';

const MADE_OF = { points: 'points', lines: 'lines', polygons: 'polygons', shapes: 'shapes of several kinds', rows: 'rows without shapes', codes: 'cells with codes', measurements: 'cells with measurements' };
const SHAPED = ['points', 'lines', 'polygons', 'shapes'];
/** What layers of a kind may be for. */
const MAY_BE = {
  polygons: ['boundary', 'cover', 'drainage', 'breaks', 'keep_clear', 'none'],
  lines: ['streams', 'tracks', 'breaks', 'keep_clear', 'none'],
  points: ['keep_clear', 'none'],
  shapes: ['boundary', 'cover', 'drainage', 'streams', 'tracks', 'breaks', 'keep_clear', 'none'],
  rows: ['none'],
  codes: ['elevation', 'cover', 'drainage', 'none'],
  measurements: ['elevation', 'none'],
  climate: ['climate', 'none'],
  stock: ['stock', 'none'],
};

/** @param {HTMLElement} section @param {{look: () => void, again: () => void}} then */
export function startLayers(section, { look, again }) {
  const list = h('div');
  section.append(h('p', { class: 'hint' }, 'Suggested by names, shapes and values: see that each is right.'), list);

  function show() {
    const boxes = layersOf().map((one) => box(one, look, again));
    put(list, ...boxes);
    if (boxes.length === 0) put(list, h('p', {}, 'Nothing yet: add files above.'));
  }
  return { show };
}

/** Layers, tables and stock of the folder, those that are used first. */
function layersOf() {
  const all = answers.folder.files.flatMap(({ name, holds }) => {
    if (holds.layers) return holds.layers.map((layer) => ({ file: name, layer: layer.layer, kind: layer.made_of, found: layer }));
    return ['climate', 'stock'].includes(holds) ? [{ file: name, layer: null, kind: holds, found: null }] : [];
  });
  const rank = (one) => answers.folder.roles.findIndex(({ role }) => role === answers.uses.get(keyOf(one))?.guessed);
  return all.filter((one) => answers.uses.has(keyOf(one))).sort((a, b) => rank(a) - rank(b));
}

function box(one, look, again) {
  const use = answers.uses.get(keyOf(one));
  const extras = h('div');
  const rules = h('div');
  const role = h('select', {
    onchange: () => {
      for (const of of ['cover', 'drainage']) if (use.role === of || role.value === of) forgetCodes(of);
      use.role = role.value;
      if (use.role === 'keep_clear' && !use.keep_clear) use.keep_clear = anyRule(use);
      if (use.role === 'none' || !SHAPED.includes(one.kind)) use.keep_clear = null;
      if (['cover', 'drainage'].includes(use.role) && one.kind !== 'codes') use.field ??= one.found.fields[0]?.name ?? null;
      more(true);
      look();
    },
  }, ...MAY_BE[one.kind].map((key) => h('option', { value: key }, titleOf(key))));
  role.value = use.role;

  function more(isNew) {
    put(extras,
      ['cover', 'drainage'].includes(use.role) && one.kind !== 'codes' ? codeField(one, use, look) : null,
      use.role === 'elevation' ? unitField(one, use, look) : null);
    put(rules, SHAPED.includes(one.kind) && ['streams', 'tracks', 'breaks', 'boundary', 'keep_clear'].includes(use.role) ? clearOf(one, use, look, isNew) : null);
  }
  more(false);
  const named = one.layer && one.layer !== one.file.replace(/\.[^.]*$/, '') ? `${one.file} · ${one.layer}` : one.file;
  return h('fieldset', { class: 'layer', dataset: { layer: one.layer ?? one.file } },
    h('legend', {}, named),
    h('p', { class: 'made' }, words(one.found, one.kind)),
    one.found && !one.found.crs && one.found.extent ? lost(one, again) : null,
    h('div', { class: 'fields' }, field('What it is for', role, use.why && use.guessed !== 'none' ? `Suggested: ${use.why}.` : undefined), extras),
    rules);
}

function titleOf(role) {
  return answers.folder.roles.find((one) => one.role === role)?.title ?? role;
}

function words(found, kind) {
  if (!found) return kind === 'climate' ? 'A table of months.' : 'A list of lines.';
  const parts = [MADE_OF[kind]];
  if (found.features !== null) parts.push(`${number(found.features)} ${found.features === 1 ? 'feature' : 'features'}`);
  if (found.size) parts.push(`${number(found.size[0])} × ${number(found.size[1])} cells`);
  if (found.range) parts.push(`${plain(found.range[0])} to ${plain(found.range[1])}${found.unit ? ` ${found.unit}` : ''}`);
  parts.push(found.crs ?? 'no coordinate system named');
  return `${parts.join(', ')}.`;
}

function plain(value) {
  return Number.isInteger(value) ? String(value) : number(value, 2);
}

function codeField(one, use, look) {
  const select = h('select', {
    onchange: () => {
      use.field = select.value;
      forgetCodes(use.role);
      look();
    },
  }, ...one.found.fields.map(({ name, values }) => h('option', { value: name }, values.length ? `${name} (${values.slice(0, 3).join(', ')}${values.length > 3 ? ', …' : ''})` : `${name} (many values)`)));
  select.value = use.field;
  return field('Field with the code', select);
}

function unitField(one, use, look) {
  const select = h('select', { onchange: () => { use.unit = select.value || null; look(); } },
    ...[['', one.found?.unit ? `as the file says: ${one.found.unit}` : 'as the file says, otherwise metres'], ['m', 'metres'], ['ft', 'feet'], ['ft_us', 'US survey feet']]
      .map(([value, text]) => h('option', { value }, text)));
  select.value = use.unit ?? '';
  return field('Unit of height', select);
}

function anyRule({ file, layer }) {
  const name = (layer ?? file).replace(/\.[^.]*$/, '').replaceAll('_', ' ');
  const { rule } = answers.folder.presets.at(-1);
  return { ...rule, name, date: today() };
}

/** How the ground around a layer is kept clear. */
function clearOf(one, use, look, isNew) {
  const rules = h('div');
  const tick = h('input', {
    type: 'checkbox',
    onchange: () => {
      use.keep_clear = tick.checked ? kept ?? presetFor(use) : null;
      form(true);
      look();
    },
  });
  let kept = use.keep_clear;
  tick.checked = Boolean(use.keep_clear);
  const label = h('label', { class: 'tick' }, tick, 'Keep ground clear around it');

  function form(isOpen) {
    const rule = use.keep_clear;
    if (!rule) { put(rules); return; }
    kept = rule;
    const text = (key, title, told = {}, hint) => {
      const input = h(told.area ? 'textarea' : 'input', { value: rule[key] ?? '', ...told, area: undefined, oninput: () => { rule[key] = input.value || (told.may_lack ? null : ''); look(); } });
      return field(title, input, hint);
    };
    const metres = (key, title, hint) => {
      const input = h('input', { type: 'number', min: 0, step: 'any', value: rule[key] ?? '', oninput: () => { rule[key] = input.value === '' ? (key === 'distance_m' ? 0 : null) : Number(input.value); look(); } });
      return field(title, input, hint);
    };
    const source = answers.folder.presets.find((preset) => rule.name.startsWith(preset.rule.name))?.source;
    const width = h('select', { onchange: () => { rule.width_field = width.value || null; look(); } },
      h('option', { value: '' }, 'none: a line has no width'), ...one.found.fields.map(({ name }) => h('option', { value: name }, name)));
    width.value = rule.width_field ?? '';
    const told = () => `${rule.name}: ${rule.distance_m} m kept clear${rule.ask_within_m ? `, ask first within ${rule.ask_within_m} m` : ''}`;
    const summary = h('summary', {}, told());
    put(rules, h('details', { class: 'clear', open: isOpen, oninput: () => { summary.textContent = told(); } }, summary, h('div', { class: 'fields' },
      text('name', 'Name of the rule'),
      metres('distance_m', 'Distance, m', source ? `To begin from: ${source}. Ask what applies here.` : 'Ask what applies here.'),
      one.kind === 'lines' ? field('Field with its full width, m', width) : null,
      metres('ask_within_m', 'Ask first within, m', 'Left empty: nobody is told to ask.'),
      text('authority', 'Who says so'),
      text('date', 'As of', { type: 'date' }),
      h('div', { class: 'wide' }, text('reason', 'Why')),
      h('div', { class: 'wide' }, text('caution', 'What planters are told', { area: true, may_lack: true })))));
  }
  form(isNew);
  return h('div', {}, use.role === 'keep_clear' ? null : label, rules);
}

function presetFor({ role, file, layer }) {
  const wanted = { streams: 'stream', tracks: 'track', boundary: 'boundary fence' }[role];
  const preset = answers.folder.presets.find(({ rule }) => rule.name === wanted);
  return preset ? { ...preset.rule, date: today() } : anyRule({ file, layer });
}

/** A layer that names no coordinate system: which would fit, and telling it. */
function lost(one, again) {
  const told = answers.folder.trials.find((trial) => keyOf(trial) === keyOf(one));
  const trials = told?.trials ?? [];
  const says = ({ name, apart_km: apart }) => (apart === null ? name : `${name}: ${measured(apart, 'km')} from the property`);
  const list = h('select', {}, ...trials.map((trial) => h('option', { value: trial.crs }, says(trial))), h('option', { value: '' }, 'another, typed beside'));
  const typed = h('input', { placeholder: 'EPSG:2193', 'aria-label': 'Coordinate system, as authority and code' });
  const problems = h('div');
  const tell = async () => {
    try {
      const { written } = await send('/api/begin/system', { file: one.file, crs: list.value || typed.value });
      announce(`${written} written.`);
      again();
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      put(problems, problemList(fault.problems));
    }
  };
  return h('div', { class: 'lost' },
    h('p', {}, h('strong', {}, 'This file names no coordinate system. '), 'Ask where it came from; a place that fits is no proof. What you say is written beside the file, which stays as it is.'),
    field('It is in', list), typed, button('Tell it', tell), problems);
}
