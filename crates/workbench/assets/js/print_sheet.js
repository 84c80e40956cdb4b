// A sheet to print at a chosen scale: its sizes are millimetres of paper, on the screen as on the printer.
import { button, field, h, put } from './dom.js';
import { mosaicLegend } from './legend.js';
import { roundBelow } from './map/grid.js';
import { stillMap } from './map/still_map.js';
import { northArrow } from './north.js';
import { on, state } from './store.js';
import { measured, number } from './words.js';
const { ol } = globalThis;

const PAPERS = [['a4-landscape', 'A4 lying'], ['a4-portrait', 'A4 upright'], ['a3-landscape', 'A3 lying'], ['a3-portrait', 'A3 upright']];
const SCALES = [2500, 5000, 7500, 10000, 15000, 20000, 25000];
const MM_PER_PIXEL = 25.4 / 96; // of CSS, by definition
const BAR_MM = 50; // the longest scale bar

/** How the legend stands, from roomy to tight. */
const LEGENDS = ['beside', 'beside small', 'beneath', 'beneath small'];

/** Gives the legend the first place on `sheet` that holds all of it; what no place holds is told as left out. */
function fitLegend(sheet) {
  const aside = sheet.querySelector('.aside');
  const fits = () => aside.scrollHeight <= aside.clientHeight + 1 && aside.scrollWidth <= aside.clientWidth + 1;
  const has = LEGENDS.some((place) => {
    sheet.dataset.legend = place;
    return fits();
  });
  if (has) return;
  const list = aside.querySelector('.legend');
  const more = h('li', { class: 'more' });
  list.append(more);
  for (let out = 1; list.children.length > 2; out += 1) {
    more.previousElementSibling.remove();
    more.textContent = `and ${number(out)} more that this sheet has no room for: take larger paper, or see the tables.`;
    if (fits()) return;
  }
}

/** @param {HTMLElement} box @returns {() => void} what to do when it is shown again */
export function printSheet(box, main) {
  box.classList.add('printing');
  const paper = h('select', {}, ...PAPERS.map(([key, words]) => h('option', { value: key }, words)));
  const scale = h('select', {}, ...SCALES.map((one) => h('option', { value: one }, `1:${number(one)}`)));
  const title = h('input', { type: 'text', maxlength: 80, value: 'Planting mosaic' });
  const fits = h('p', { class: 'hint', role: 'status' });
  const sheet = h('article', { class: 'paper', 'aria-label': 'Sheet' });
  box.append(
    h('div', { class: 'tools' }, field('Paper', paper), field('Scale', scale), field('Title', title),
      button('Print', () => print(), { class: 'strong' }),
      h('p', { class: 'hint' }, 'In the print window: size 100 %, no margins. Measure the bar on the paper before you trust the scale.'), fits),
    sheet);
  scale.value = fitting();
  let shown = null;
  let centre = ol.extent.getCenter(state.property.extent);

  function fitting() {
    const [w, s, e, n] = state.property.extent;
    const need = Math.max((e - w) / 0.215, (n - s) / 0.16); // metres of ground to a metre of the map on A4
    return SCALES.find((one) => one >= need) ?? SCALES.at(-1);
  }

  function draw() {
    shown?.map.setTarget(null);
    const target = h('div', { class: 'map', tabindex: 0, role: 'application', 'aria-label': 'Map on the sheet: arrow keys move it' });
    const frame = h('div', { class: 'frame' }, target);
    sheet.className = `paper ${paper.value}`;
    put(sheet, head(), frame, aside(), foot());
    fitLegend(sheet);
    const resolution = metresPerPixel();
    const view = new ol.View({ projection: main.view.getProjection(), center: centre, resolution, minResolution: resolution, maxResolution: resolution, enableRotation: false });
    shown = stillMap(target, { ...state.scene, geometry: state.geometry }, { view, keyboardEventTarget: target, pixelRatio: 2 }, main);
    view.on('change:center', () => { centre = view.getCenter(); });
    tellFit(target, resolution);
  }

  function tellFit(target, resolution) {
    const [w, s, e, n] = state.property.extent;
    const whole = (e - w) / resolution <= target.clientWidth && (n - s) / resolution <= target.clientHeight;
    fits.textContent = whole ? '' : 'The property is larger than the sheet at this scale: move the map by pointer or arrow keys, or choose another scale.';
  }

  const metresPerPixel = () => (Number(scale.value) * MM_PER_PIXEL) / 1000;
  const scaleWords = () => `1:${number(Number(scale.value))} on ${paper.selectedOptions[0].textContent.slice(0, 2)} paper`;

  function head() {
    const day = new Date().toLocaleDateString('en-NZ', { day: 'numeric', month: 'long', year: 'numeric' });
    return h('header', {}, h('div', {}, h('h2', {}, state.property.name), h('p', {}, title.value)),
      h('div', { class: 'when' }, h('p', {}, scaleWords()), h('p', {}, `Drawn on ${day}`)));
  }

  function aside() {
    const length = roundBelow((BAR_MM / 1000) * Number(scale.value));
    const bar = h('div', { class: 'bar' });
    bar.style.width = `${(length / Number(scale.value)) * 1000}mm`;
    return h('div', { class: 'aside' },
      h('div', { class: 'row' }, northArrow(), h('div', { class: 'scale', role: 'img', 'aria-label': `Scale bar: ${number(length)} m` }, h('span', {}, length >= 1000 ? `${number(length / 1000)} km` : `${number(length)} m`), bar)),
      h('h3', {}, 'Legend'), mosaicLegend(state.scene),
      h('p', {}, `${number(state.scene.totals.seedlings)} plants on ${measured(state.scene.totals.planted_plan_ha, 'ha of map')}`));
  }

  function foot() {
    const unsaved = state.scene.unsaved.length ? ' A draft that is not saved.' : '';
    const stale = state.scene.stale ? ' It shows the last plan that could be made.' : '';
    return h('footer', {},
      h('p', {}, `Coordinates: ${state.property.crs_name || state.property.crs}. Sources: the layers named in ${state.property.folder}. Made by hillweave ${state.property.version}.${unsaved}${stale}`),
      h('p', {}, `Cautions: ${state.scene.cautions.map((one) => one.about).join('; ')}. Made by reckoning, not by looking at the ground. It does not say that ground is safe, that a rule is met, or where service lines, burial sites or floods are. Local rules and licensed people decide.`));
  }

  for (const one of [paper, scale, title]) one.addEventListener('change', draw);
  on('scene', () => { if (state.view === 'print') draw(); });
  return draw;
}
