// What the map shows: ground beneath, the plan above it, what is asked for beside it, and the legend.
import { button, field, h, id, put } from '../dom.js';
import { markLegend, mosaicLegend, rasterLegend } from '../legend.js';
import { showGround } from '../map/main_map.js';
import { on, state } from '../store.js';
import { plainUnit } from '../words.js';
import { coverSection } from './look_cover.js';
import { treesSection } from './look_trees.js';

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
  const legend = h('div');
  const select = h('select', { onchange: () => show() });
  const show = () => {
    const one = state.property.rasters.find((raster) => raster.id === select.value);
    showGround(layers, one);
    put(legend, one ? h('p', { class: 'hint' }, one.title) : null, rasterLegend(one));
  };
  on('property', ({ rasters }) => {
    const wanted = select.options.length ? select.value : 'relief';
    put(select, h('option', { value: '' }, 'nothing'), ...rasters.map((one) => h('option', { value: one.id }, shortly(one))));
    select.value = wanted === '' || rasters.some((one) => one.id === wanted) ? wanted : rasters[0]?.id ?? '';
    show();
  });
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
