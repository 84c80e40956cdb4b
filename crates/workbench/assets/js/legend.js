// The legend: every class that the map can show, by colour, pattern, letter and word.
import { h, svg } from './dom.js';
import { COVER_BANDS, LAND, lookOf } from './palette.js';
import { swatch } from './patterns.js';
import { measured } from './words.js';

/** Lines that stand somewhere, then ground without planting. */
export function mosaicLegend(scene, className = 'legend') {
  const used = new Set(scene.zones.lines.flatMap((parts) => parts.map((part) => part.line)));
  const lines = scene.lines.map((line, at) => ({ line, at })).filter(({ at }) => used.has(at));
  return h('ul', { class: className },
    ...lines.map(({ line }) => entry(lookOf(line), `${line.name}, ${line.kind === 'seed_line' ? 'local seed' : 'cultivar'}, ${measured(line.plan_ha, 'ha of map')}`)),
    ...Object.values(LAND).map((one) => entry(one, one.label)));
}

/** Outlines, points and lines. */
export function markLegend() {
  const line = (words, path) => h('li', {}, svg('svg', { class: 'mark', viewBox: '0 0 32 22', 'aria-hidden': 'true' }, path), words);
  const stroke = (colour, width, dash) => svg('path', { d: 'M1 11h30', fill: 'none', stroke: colour, 'stroke-width': width, 'stroke-dasharray': dash });
  return h('ul', { class: 'legend' },
    line('boundary of the property', stroke('currentColor', 2.5, '14 4 3 4')),
    line('chosen', stroke('currentColor', 4)),
    line('changed by the last change', stroke('var(--warm)', 2.5, '8 5')),
    line('a caution speaks of it', stroke('var(--warm)', 2.5, '2 5')),
    line('break line, drawn by hand', stroke('#9b4fb8', 3, '12 5')),
    line('zone, drawn by hand', stroke('#9b4fb8', 3)),
    line('kept clear, drawn by hand', stroke('#9b4fb8', 3, '4 4')),
    line('tree to sample', svg('circle', { cx: 16, cy: 11, r: 6, fill: '#FEC887', stroke: '#000', 'stroke-width': 2 })));
}

/** Bands of ground protected. */
export function coverLegend() {
  return h('ul', { class: 'legend' }, ...COVER_BANDS.map((band) => entry(band, band.label)));
}

/** What a raster shows: its classes, or its ramp. */
export function rasterLegend(raster) {
  if (!raster) return null;
  if (raster.legend?.length) {
    return h('ul', { class: 'legend' }, ...raster.legend.map((one) => entry({ ...one, pattern: 'plain' }, one.label)));
  }
  if (raster.least === undefined || raster.least === null) return null;
  const ramp = h('div', { class: 'ramp', 'aria-hidden': 'true' });
  ramp.style.background = `linear-gradient(to right, ${raster.low_colour}, ${raster.high_colour})`;
  return h('div', {}, ramp, h('p', { class: 'quiet' }, `${measured(raster.least, raster.unit)} (left) to ${measured(raster.most, raster.unit)} (right)`));
}

function entry(one, words) {
  return h('li', {}, swatch(one), words);
}
