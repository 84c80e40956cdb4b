// Where the layers lie: their rectangles around the property, and how far off those are that do not meet it.
import { h, put, svg } from '../dom.js';
import { measured } from '../words.js';
import { answers, keyOf, layerFor } from './answers.js';

/** @param {HTMLElement} section */
export function startSketch(section) {
  const body = h('div');
  section.append(body);
  return {
    show({ places }) {
      if (places.length === 0) {
        put(body, h('p', { class: 'hint' }, 'Nothing to show yet.'));
        return;
      }
      const home = layerFor('boundary');
      const isHome = (one) => home && keyOf(one) === keyOf(home);
      put(body, drawing(places, isHome), h('ul', {}, ...places.map((one) => item(one, isHome(one)))));
    },
  };
}

/** Those that meet the property, drawn to one scale; degrees are narrowed to what they measure here. */
function drawing(places, isHome) {
  const near = places.filter((one) => one.meets !== false);
  const latitude = (near[0].on_globe[1] + near[0].on_globe[3]) / 2;
  const narrow = Math.max(0.05, Math.cos(latitude * Math.PI / 180));
  const box = ({ on_globe: [w, s, e, n] }) => ({ x: w * narrow, y: -n, width: (e - w) * narrow, height: n - s });
  const all = near.map(box);
  const left = Math.min(...all.map(({ x }) => x));
  const top = Math.min(...all.map(({ y }) => y));
  const wide = Math.max(...all.map(({ x, width }) => x + width)) - left || 1e-4;
  const high = Math.max(...all.map(({ y, height }) => y + height)) - top || 1e-4;
  const scale = 300 / Math.max(wide, high);
  const rects = near.map((one) => {
    const { x, y, width, height } = box(one);
    return svg('rect', { class: isHome(one) ? 'home' : 'one', x: 10 + (x - left) * scale, y: 10 + (y - top) * scale, width: Math.max(2, width * scale), height: Math.max(2, height * scale) });
  });
  return svg('svg', { viewBox: `0 0 ${20 + wide * scale} ${20 + high * scale}`, role: 'img', 'aria-label': 'Rectangles of the layers; the list below says the same in words' }, ...rects);
}

function item(one, isHome) {
  const name = one.layer ?? one.file;
  const role = answers.folder.roles.find(({ role: key }) => key === answers.uses.get(keyOf(one))?.role)?.title ?? '';
  if (isHome) return h('li', {}, h('b', {}, name), `: ${role}`);
  if (one.meets === false) return h('li', { class: 'far' }, `${name}: ${measured(one.apart_km, 'km')} from the property. Is its coordinate system right?`);
  return h('li', {}, h('b', {}, name), `: ${role}${one.meets ? ', meets the property' : ''}`);
}
