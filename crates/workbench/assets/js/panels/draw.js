// Drawing by hand: by pointer, by the cross in the middle of the map, or by coordinates. All three fill one list of points.
import { announce } from '../announce.js';
import { button, field, h, put } from '../dom.js';
import { refill } from '../map/layers.js';
import { pointerDrawing } from '../map/pointer_drawing.js';
import { change } from '../plan.js';
import { on } from '../store.js';
import { number } from '../words.js';
const { ol } = globalThis;

const KINDS = {
  break: { title: 'Break line', least: 2, hint: 'A line that no zone crosses, such as a fence or a ridge. It parts ground where it runs from border to border or to another break.' },
  zone: { title: 'Zone', least: 3, hint: 'Ground that is one planting zone as it is drawn, but for setbacks and stands.' },
  keep_clear: { title: 'Keep-clear area', least: 3, hint: 'Ground where nothing is planted, with a distance around it. Local rules and licensed people say how far.' },
};

/** @returns {HTMLElement} the panel */
export function drawPanel({ map, layers, view, cross }) {
  const points = [];
  const kind = h('select', {}, ...Object.entries(KINDS).map(([key, one]) => h('option', { value: key }, one.title)));
  const hint = h('p', { class: 'hint' });
  const name = h('input', { type: 'text', maxlength: 80 });
  const reason = h('input', { type: 'text', maxlength: 200 });
  const distance = h('input', { type: 'number', min: 0, max: 1000, step: 'any', value: 0 });
  const reasonField = field('Reason', reason);
  const distanceField = field('Distance kept clear around it (m)', distance);
  const rows = h('tbody');
  const list = h('ul', { class: 'drawn' });
  const pen = pointerDrawing(map, layers, (found) => {
    points.splice(0, points.length, ...found);
    draw();
    announce(`${points.length} points drawn. Give it a name and put it on the map.`);
    name.focus();
  });
  const pointer = button('Draw with the pointer', () => (pen.active() ? stop() : begin()), { 'aria-pressed': 'false' });

  function begin() {
    points.length = 0;
    draw();
    pen.start(kind.value);
    pointer.setAttribute('aria-pressed', 'true');
    pointer.textContent = 'Stop drawing';
    announce('Click on the map for each point; the last one twice. It snaps to borders near by.');
  }

  function stop() {
    pen.stop();
    pointer.setAttribute('aria-pressed', 'false');
    pointer.textContent = 'Draw with the pointer';
  }

  function middle() {
    points.push(view.getCenter().map((one) => Math.round(one * 10) / 10));
    draw();
    announce(`Point ${points.length} at the middle of the map.`);
  }

  function draw() {
    put(rows, ...points.map((point, at) => h('tr', {}, h('th', { scope: 'row' }, String(at + 1)),
      ...['Easting', 'Northing'].map((axis, of) => h('td', {}, number_(point, of, `${axis} of point ${at + 1}, metres`))),
      h('td', {}, button('✕', () => { points.splice(at, 1); draw(); }, { 'aria-label': `Take out point ${at + 1}` })))));
    const shape = geometry();
    refill(layers.sketch, [...points.map((point) => new ol.Feature(new ol.geom.Point(point))), ...(shape ? [new ol.Feature(new ol.format.GeoJSON().readGeometry(shape))] : [])]);
  }

  function number_(point, of, words) {
    return h('input', { type: 'number', step: 'any', value: point[of], 'aria-label': words, onchange: (event) => {
      if (event.target.value === '' || event.target.validity.badInput) return;
      point[of] = Number(event.target.value);
      draw();
    } });
  }

  function geometry() {
    if (points.length < KINDS[kind.value].least) return null;
    return kind.value === 'break' ? { type: 'LineString', coordinates: points } : { type: 'Polygon', coordinates: [[...points, points[0]]] };
  }

  async function place() {
    const shape = geometry();
    const { title, least } = KINDS[kind.value];
    const missing = !shape ? `A ${title.toLowerCase()} needs ${least} points or more; there are ${points.length}.`
      : !name.value.trim() ? 'Give it a name.'
        : kind.value === 'keep_clear' && !reason.value.trim() ? 'Say why it is kept clear.' : '';
    fault.textContent = missing;
    if (missing) {
      announce(missing);
      return;
    }
    stop();
    const clear = kind.value === 'keep_clear';
    const done = await change({ draw: { what: kind.value, geometry: shape, name: name.value.trim(), reason: clear ? reason.value.trim() : '', distance_m: clear ? Number(distance.value) : 0 } });
    if (!done) return;
    clearAll();
  }

  function clearAll() {
    stop();
    points.length = 0;
    name.value = '';
    reason.value = '';
    fault.textContent = '';
    draw();
  }

  const fault = h('p', { class: 'hint', role: 'status' });
  const show = () => {
    const one = KINDS[kind.value];
    hint.textContent = one.hint;
    reasonField.hidden = kind.value !== 'keep_clear';
    distanceField.hidden = kind.value !== 'keep_clear';
    if (pen.active()) begin();
    draw();
  };
  kind.addEventListener('change', show);
  on('scene', (scene) => put(list, ...scene.drawn.map(drawnItem), scene.drawn.length ? null : h('li', {}, 'Nothing yet.')));
  show();
  const panel = h('div', { class: 'panel' },
    h('section', {}, h('h2', {}, 'Draw'), field('What', kind), hint,
      h('div', { class: 'row' }, pointer, button('Point at the middle of the map', middle)),
      h('p', { class: 'hint' }, 'With the keyboard: move the map by its arrow keys or buttons until the cross is where the point belongs, then press “Point at the middle of the map”. Or type coordinates below.'),
      h('table', { class: 'points' }, h('caption', { class: 'told' }, 'Points, in metres of the plan'),
        h('thead', {}, h('tr', {}, ...['Point', 'Easting m', 'Northing m', 'Take out'].map((words) => h('th', { scope: 'col' }, words)))), rows),
      h('div', { class: 'row' }, button('Add a point to type', () => { const last = points.at(-1) ?? view.getCenter().map(Math.round); points.push([...last]); draw(); rows.lastElementChild.querySelector('input').focus(); })),
      field('Name', name), reasonField, distanceField, fault,
      h('div', { class: 'row' }, button('Put it on the map', place, { class: 'strong' }), button('Start again', clearAll))),
    h('section', {}, h('h2', {}, 'Drawn by hand'), list));
  // The cross shows where a point would go while this panel is open.
  new IntersectionObserver(([seen]) => cross.toggleAttribute('hidden', !seen.isIntersecting)).observe(panel);
  return panel;
}

function drawnItem({ what, index, name, geometry }) {
  const { title } = KINDS[what] ?? { title: what };
  const count = (geometry.type === 'LineString' ? geometry.coordinates.length : (geometry.coordinates[0]?.length ?? 1) - 1);
  return h('li', {}, h('span', {}, h('b', {}, name || 'no name'), ` ${title.toLowerCase()}, ${number(count)} points`),
    button('Erase', () => change({ erase: { what, index } }), { 'aria-label': `Erase ${title.toLowerCase()} ${name}` }));
}

