// What the map shows: ground beneath, the plan above it, cover by year, and the legend.
import { read, Refusal } from '../api.js';
import { announce } from '../announce.js';
import { button, field, h, id, put } from '../dom.js';
import { coverLegend, markLegend, mosaicLegend, rasterLegend } from '../legend.js';
import { showPicture } from '../map/layers.js';
import { showGround } from '../map/main_map.js';
import { problemList } from '../problems.js';
import { on, set, state } from '../store.js';
import { measured, plainUnit } from '../words.js';

/** @returns {HTMLElement} the panel */
export function lookPanel({ layers }) {
  const panel = h('div', { class: 'panel' },
    groundSection(layers),
    planSection(layers),
    coverSection(layers), treesSection(),
    h('section', {}, h('h2', {}, 'Legend'), h('p', { class: 'hint' }, 'Letters stand in each zone; stripes are lines mixed in one zone, each as wide as its share.'), lined(), h('h3', {}, 'Lines and points'), markLegend()));
  return panel;
}

function lined() {
  const box = h('div');
  on('scene', (scene) => put(box, mosaicLegend(scene)));
  return box;
}

function groundSection(layers) {
  const { rasters } = state.property;
  const legend = h('div');
  const select = h('select', {}, h('option', { value: '' }, 'nothing'), ...rasters.map((one) => h('option', { value: one.id }, shortly(one))));
  const show = () => {
    const one = rasters.find((raster) => raster.id === select.value);
    showGround(layers, one);
    put(legend, one ? h('p', { class: 'hint' }, one.title) : null, rasterLegend(one));
  };
  select.addEventListener('change', show);
  select.value = rasters.some((one) => one.id === 'relief') ? 'relief' : rasters[0]?.id ?? '';
  show();
  return h('section', {}, h('h2', {}, 'Ground beneath'), field('Picture', select), strength('How strong the picture is', layers.ground), legend);
}

/** What a picture is in a few words: the rest of its title stands below. */
function shortly({ title, unit }) {
  const words = title.split(/[:.]/)[0];
  return plainUnit(unit ?? '') ? `${words} (${plainUnit(unit)})` : words;
}

const SHOWN = [
  { title: 'Lines in the zones', of: ['mosaic', 'letters'], on: true },
  { title: 'Native stands', of: ['stands'], on: true },
  { title: 'Ground kept clear', of: ['keepClear'], on: true },
  { title: 'Letters on stands and kept-clear ground', of: ['landLetters'], on: false },
  { title: 'Boundary', of: ['boundary'], on: true },
  { title: 'Drawn by hand', of: ['drawn'], on: true },
  { title: 'Zones that changed', of: ['changed'], on: true },
  { title: 'Grid of coordinates', of: ['grid'], on: false },
];

function planSection(layers) {
  const ticks = SHOWN.map(({ title, of, on: first }) => {
    const box = h('input', { type: 'checkbox', id: id('layer') });
    const show = () => {
      for (const key of of) layers[key].setVisible(box.checked);
    };
    box.checked = first;
    box.addEventListener('change', show);
    show();
    return h('div', { class: 'tick' }, box, h('label', { for: box.id }, title));
  });
  return h('section', {}, h('h2', {}, 'The plan'), strength('How strong the lines are', layers.mosaic), ...ticks);
}

function strength(words, layer) {
  const told = h('output');
  const range = h('input', { type: 'range', min: 0, max: 100, step: 5, value: Math.round(layer.getOpacity() * 100) });
  const step = (by) => () => { range.value = Number(range.value) + by; show(); };
  const show = () => {
    layer.setOpacity(range.value / 100);
    told.textContent = `${range.value} %`;
  };
  range.id = id('strength');
  range.addEventListener('input', show);
  show();
  return h('div', { class: 'field' }, h('label', { for: range.id }, words),
    h('div', { class: 'slider' }, button('−', step(-10), { 'aria-label': `${words}: less` }), range, button('+', step(10), { 'aria-label': `${words}: more` }), told));
}

function coverSection(layers) {
  const body = h('div');
  const show = button('Show cover by year', async () => {
    put(body, h('p', {}, 'Reckoning the cover …'));
    try {
      set('cover', await read('/api/cover'));
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      put(body, problemList(fault.problems));
    }
  });
  on('cover', (cover) => { if (cover) put(body, ...coverTools(cover, layers)); });
  on('scene', (scene) => {
    // Cover of a plan that has changed is not cover of this one.
    if (state.cover && scene.revision !== state.coverOf) {
      set('cover', null);
      hide(layers);
      put(body, h('p', { class: 'hint' }, 'The plan has changed: ask for the cover again.'));
    }
    state.coverOf = scene.revision;
  });
  return h('section', {}, h('h2', {}, 'Cover by year'), h('p', { class: 'hint' }, 'How much of the ground that may slip is protected, year by year. It does not say that a slope will hold.'), h('div', { class: 'row' }, show), body);
}

/** Places to look for mother trees: drawn when asked for, and drawn anew after the stands have changed. */
function treesSection() {
  const body = h('div');
  const asked = async () => {
    put(body, h('p', {}, 'Drawing places …'));
    try {
      set('trees', await read('/api/trees'));
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      put(body, problemList(fault.problems));
    }
  };
  on('trees', (trees) => {
    if (!trees) return;
    const cautions = trees.cautions.map((one) => h('li', {}, h('b', {}, `${one.about}: `), one.text));
    put(body,
      h('p', { role: 'status' }, `${trees.rows.length} places. ${trees.because}`),
      h('ul', { class: 'hint' }, ...cautions),
      h('p', { class: 'row' }, button('Hide the places', () => { set('trees', null); put(body); announce('Places hidden.'); })));
  });
  let stands = null;
  on('scene', (scene) => {
    if (state.trees && scene.geometry_revision !== stands) {
      set('trees', null);
      put(body, h('p', { class: 'hint' }, 'The stands may have changed: draw the places again.'));
    }
    stands = scene.geometry_revision;
  });
  return h('section', {}, h('h2', {}, 'Trees to sample'), h('p', { class: 'hint' }, 'Where to look for mother trees in the kept stands, spread evenly. Ask whose trees they are before anything is taken.'), h('div', { class: 'row' }, button('Draw the places', asked)), body);
}

function hide(layers) {
  layers.letters.setVisible(layers.mosaic.getVisible());
  layers.cover.setVisible(false);
  layers.pieces.setVisible(false);
  set('coverYear', null);
}

function coverTools(cover, layers) {
  const { years } = cover;
  const told = h('p', { role: 'status' });
  const range = h('input', { type: 'range', min: 0, max: years.length - 1, step: 1, id: id('year') });
  const below = h('input', { type: 'checkbox', id: id('below') });
  below.checked = true;
  const show = () => {
    const one = years[Number(range.value)];
    const year = one.year ?? 'today';
    range.setAttribute('aria-valuetext', nameOf(one.year));
    told.textContent = `${nameOf(one.year)}: ${measured(one.protected_plan_ha, 'ha of map')} protected; ${measured(one.may_slip_plan_ha, 'ha of map')} may slip, ${measured(one.below_plan_ha, 'ha of map')} of it below the target of ${Math.round(cover.target * 100)} %.`;
    showPicture(layers.cover, state.property, `/api/cover/${year}.png`, cover.extent);
    layers.cover.setVisible(true);
    layers.letters.setVisible(false);
    layers.pieces.setVisible(below.checked);
    set('coverYear', one.year);
  };
  const step = (by) => () => { range.value = Number(range.value) + by; show(); };
  range.addEventListener('input', show);
  below.addEventListener('change', show);
  const target = years.findIndex((one) => one.year === cover.by_years);
  range.value = target >= 0 ? target : years.length - 1;
  show();
  return [
    cover.problems?.length ? problemList(cover.problems) : null,
    h('div', { class: 'field' }, h('label', { for: range.id }, 'Year'),
      h('div', { class: 'slider' }, button('‹', step(-1), { 'aria-label': 'Year before' }), range, button('›', step(1), { 'aria-label': 'Next year' }))),
    told,
    h('div', { class: 'tick' }, below, h('label', { for: below.id }, `Pieces below the target after ${cover.by_years} years (${cover.pieces.rows.length})`)),
    coverLegend(),
    h('p', { class: 'row' }, button('Hide the cover', () => { hide(layers); announce('Cover hidden.'); })),
  ].filter(Boolean);
}

/** A year of the calendar, or one counted from planting. */
function nameOf(year) {
  if (year === null) return 'Today';
  return year > 1900 ? `Year ${year}` : year === 0 ? 'At planting' : `${year} years after planting`;
}
