// What codes of cover and drainage stand for, and what is done with them.
import { h, put } from '../dom.js';
import { percent } from '../words.js';
import { answers, layerFor } from './answers.js';

const TREATMENTS = [['', 'say which'], ['plant', 'plant: open or cleared'], ['infill', 'fill in: plant its gaps'], ['keep', 'keep: a native stand'], ['never', 'never: water, rock, yards']];
const CLASSES = [['', 'say which'], ['very_poor', 'very poor'], ['poor', 'poor'], ['imperfect', 'imperfect'], ['moderately_well', 'moderately well'], ['well', 'well']];

/** @param {HTMLElement} section @param {() => void} look */
export function startCodes(section, look) {
  const body = h('div');
  section.append(body);
  let shown = '';

  return {
    show({ codes }) {
      // The fields that someone may be typing in are left alone until other codes lie there.
      const now = JSON.stringify([codes, [...answers.cover.keys()], [...answers.drainage.keys()]]);
      if (now === shown) return;
      shown = now;
      const parts = [];
      if (codes.cover.length) parts.push(h('h3', {}, 'Cover'), coverTable(codes.cover, look));
      if (codes.drainage.length) parts.push(h('h3', {}, 'Soil drainage'), drainageTable(codes.drainage, look));
      if (parts.length === 0) parts.push(h('p', { class: 'hint' }, waitingFor()));
      put(body, ...parts);
    },
  };
}

function waitingFor() {
  if (!layerFor('cover') && !layerFor('drainage')) return 'No layer of cover or drainage is used: all ground counts as open, and drainage is left out of the fit.';
  return 'They are told once boundary and elevation are there.';
}

function coverTable(codes, look) {
  const rows = codes.map(({ code, share }) => {
    const said = answers.cover.get(code);
    const name = h('input', { value: said.name, 'aria-label': `Name of code ${code}`, oninput: () => { said.name = name.value; look(); } });
    const gap = h('input', { type: 'number', min: 0, max: 100, step: 1, value: said.gap_share === null ? '' : said.gap_share * 100, 'aria-label': `Gaps of code ${code}, percent`, oninput: () => { said.gap_share = gap.value === '' ? null : Number(gap.value) / 100; look(); } });
    const treatment = select(TREATMENTS, said.treatment, `What is done with code ${code}`, (value) => {
      said.treatment = value;
      gap.disabled = value !== 'infill';
      look();
    });
    gap.disabled = said.treatment !== 'infill';
    return h('tr', {}, h('th', { scope: 'row' }, code), h('td', { class: 'figure' }, percent(share)), h('td', {}, name), h('td', {}, treatment), h('td', { class: 'gap' }, gap));
  });
  return table(['Code', 'Of the property', 'Name', 'What is done with it', 'Gaps, %'], rows);
}

function drainageTable(codes, look) {
  const rows = codes.map(({ code, share }) => {
    const said = answers.drainage.get(code);
    const grade = select(CLASSES, said.class, `Drainage class of code ${code}`, (value) => { said.class = value; look(); });
    return h('tr', {}, h('th', { scope: 'row' }, code), h('td', { class: 'figure' }, percent(share)), h('td', {}, grade));
  });
  return table(['Code', 'Of the property', 'Drainage class'], rows);
}

function select(options, value, label, say) {
  const made = h('select', { 'aria-label': label, onchange: () => say(made.value || null) }, ...options.map(([key, text]) => h('option', { value: key }, text)));
  made.value = value ?? '';
  return made;
}

function table(heads, rows) {
  return h('div', { class: 'scrolls', tabindex: 0, role: 'region', 'aria-label': `${heads[2]} by code` },
    h('table', { class: 'codes' }, h('thead', {}, h('tr', {}, ...heads.map((head) => h('th', { scope: 'col' }, head)))), h('tbody', {}, ...rows)));
}
