// What floats on a map: zoom, scale bar, coordinates.
import { button, h } from '../dom.js';
import { number } from '../words.js';
import { roundBelow } from './grid.js';

const WIDEST = 130; // CSS pixels

/** Buttons that move the view. @param {ol.View} view @param {() => void} whole */
export function zoomButtons(view, whole) {
  const by = (steps) => () => view.animate({ zoom: view.getZoom() + steps, duration: quiet() ? 0 : 150 });
  const pan = (x, y) => () => {
    const [cx, cy] = view.getCenter();
    const step = view.getResolution() * 160;
    view.setCenter([cx + x * step, cy + y * step]);
  };
  return h('div', { class: 'floats zoom', role: 'group', 'aria-label': 'Move the map' },
    button('+', by(1), { 'aria-label': 'Nearer', title: 'Nearer' }),
    button('−', by(-1), { 'aria-label': 'Farther', title: 'Farther' }),
    button('▣', whole, { 'aria-label': 'Whole property', title: 'Whole property' }),
    button('↑', pan(0, 1), { 'aria-label': 'North', title: 'North' }),
    button('←', pan(-1, 0), { 'aria-label': 'West', title: 'West' }),
    button('→', pan(1, 0), { 'aria-label': 'East', title: 'East' }),
    button('↓', pan(0, -1), { 'aria-label': 'South', title: 'South' }));
}

/** Whether motion is to be kept small. */
export function quiet() {
  return matchMedia('(prefers-reduced-motion: reduce)').matches;
}

/** A scale bar that follows `view`. */
export function scaleBar(view) {
  const bar = h('div', { class: 'bar' });
  const words = h('span');
  const follow = () => {
    const resolution = view.getResolution();
    if (!resolution) return;
    const length = roundBelow(WIDEST * resolution);
    bar.style.width = `${length / resolution}px`;
    words.textContent = length >= 1000 ? `${number(length / 1000)} km` : `${number(length)} m`;
  };
  view.on('change:resolution', follow);
  follow();
  return h('div', { class: 'scale', role: 'img', 'aria-label': 'Scale bar' }, words, bar);
}

/** Coordinates of the pointer, or of the middle of the map while there is none. @param {ol.Map} map @param {string} crs */
export function coordinates(map, crs) {
  const words = h('span', { title: crs });
  const tell = ([x, y], what) => { words.textContent = `${what} E ${number(x)} m, N ${number(y)} m`; };
  const middle = () => map.getView().getCenter() && tell(map.getView().getCenter(), 'Middle:');
  map.on('pointermove', (event) => tell(event.coordinate, 'Pointer:'));
  map.getViewport().addEventListener('pointerleave', middle);
  map.on('moveend', middle);
  return words;
}
