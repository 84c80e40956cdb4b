// Drawing by hand: by pointer, by the cross in the middle of the map, or by coordinates. All three fill one list of points.
import { announce } from '../announce.js';
import { button, field, h, put } from '../dom.js';
import { keeping } from '../focus.js';
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

/** @returns {{panel: HTMLElement, opened: (is: boolean) => void}} `opened`: tells whether the panel is the one that is seen */
export function drawPanel({ map, layers, view, cross }) {
  const points = [];
  const kind = h('select', {}, ...Object.entries(KINDS).map(([key, one]) => h('option', { value: key }, one.title)));
  const hint = h('p', { class: 'hint' });
  const name = h('input', { type: 'text', maxlength: 80 });
  const reason = h('input', { type: 'text', maxlength: 200 });
  const distance = h('input', { type: 'number', min: 0, max: 1000, step: 'any', value: 0 });
  const reasonField = field('Reason', reason);
  const distanceField = field('Distance kept clear around it (m)', distance);
  const fault = h('p', { class: 'fault', id: 'draw-fault' });
  const rows = h('tbody');
  const list = h('ul', { class: 'drawn', tabindex: -1, 'aria-label': 'Drawn by hand' });
  const pen = pointerDrawing(map, layers, {
    finished: (found) => {
      points.splice(0, points.length, ...found);
      draw();
      announce(`${points.length} points drawn. Give it a name and put it on the map.`);
      name.focus();
    },
    changed: (is) => {
      pointer.setAttribute('aria-pressed', String(is));
      pointer.textContent = is ? 'Stop drawing' : 'Draw with the pointer';
    },
  });
  const pointer = button('Draw with the pointer', () => (pen.isHeld() ? stop() : begin()), { 'aria-pressed': 'false' });
  const typed = button('Add a point to type', () => {
    points.push([...(points.at(-1) ?? view.getCenter().map(Math.round))]);
    draw();
    rows.lastElementChild.querySelector('input').focus();
  });

  function begin() {
    points.length = 0;
    draw();
    pen.start(kind.value);
    announce('Click on the map for each point; the last one twice. It snaps to borders near by. Escape stops.');
  }

  function stop() {
    if (!pen.isHeld()) return;
    pen.stop();
    announce('Drawing stopped.');
  }

  function middle() {
    points.push(view.getCenter().map((one) => Math.round(one * 10) / 10));
    draw();
    announce(`Point ${points.length} at the middle of the map.`);
  }

  /** Draws the list of points anew. */
  function draw() {
    put(rows, ...points.map((point, at) => h('tr', {}, h('th', { scope: 'row' }, String(at + 1)),
      ...['Easting', 'Northing'].map((axis, of) => h('td', {}, coordinate(point, of, `${axis} of point ${at + 1}, metres`))),
      h('td', {}, button('✕', () => takeOut(at), { 'aria-label': `Take out point ${at + 1}` })))));
    sketch();
  }

  function sketch() {
    const shape = geometry();
    refill(layers.sketch, [...points.map((point) => new ol.Feature(new ol.geom.Point(point))), ...(shape ? [new ol.Feature(new ol.format.GeoJSON().readGeometry(shape))] : [])]);
  }

  function takeOut(at) {
    points.splice(at, 1);
    draw();
    announce(`Point ${at + 1} taken out; ${points.length} left.`);
    (rows.children[Math.min(at, points.length - 1)]?.querySelector('button') ?? typed).focus();
  }

  function coordinate(point, of, words) {
    const input = h('input', { type: 'number', step: 'any', value: point[of], 'aria-label': words, onchange: () => {
      const is = input.value !== '' && !input.validity.badInput;
      accuse(is ? null : input, is ? '' : `${words}: that is not a number.`);
      if (!is) return;
      point[of] = Number(input.value);
      sketch();
    } });
    return input;
  }

  function geometry() {
    if (points.length < KINDS[kind.value].least) return null;
    return kind.value === 'break' ? { type: 'LineString', coordinates: points } : { type: 'Polygon', coordinates: [[...points, points[0]]] };
  }

  /** Says what is wrong with a field, or that nothing is. */
  function accuse(input, words) {
    for (const one of panel.querySelectorAll('[aria-invalid]')) {
      one.removeAttribute('aria-invalid');
      one.removeAttribute('aria-describedby');
    }
    fault.textContent = words;
    if (!words) return;
    input?.setAttribute('aria-invalid', 'true');
    input?.setAttribute('aria-describedby', fault.id);
    announce(words);
  }

  /** What keeps the drawing from the map: the field and the words. @returns {[HTMLElement|null, string]} */
  function missing() {
    const { title, least } = KINDS[kind.value];
    const wrong = [...rows.querySelectorAll('input')].find((one) => one.value === '');
    if (wrong) return [wrong, `${wrong.getAttribute('aria-label')}: that is not a number.`];
    if (points.length < least) return [null, `A ${title.toLowerCase()} needs ${least} points or more; there are ${points.length}.`];
    if (!name.value.trim()) return [name, 'Give it a name.'];
    if (kind.value !== 'keep_clear') return [null, ''];
    if (!reason.value.trim()) return [reason, 'Say why it is kept clear.'];
    if (distance.value === '' || !distance.validity.valid) return [distance, 'The distance is a number from 0 to 1,000 m: how far around it ground is kept clear.'];
    return [null, ''];
  }

  async function place() {
    const [input, words] = missing();
    accuse(input, words);
    if (words) {
      input?.focus();
      fault.scrollIntoView({ block: 'nearest' });
      return;
    }
    pen.stop();
    const clear = kind.value === 'keep_clear';
    const problems = await change({ draw: { what: kind.value, geometry: geometry(), name: name.value.trim(), reason: clear ? reason.value.trim() : '', distance_m: clear ? Number(distance.value) : 0 } });
    if (problems.length === 0) clearAll();
  }

  function clearAll() {
    pen.stop();
    points.length = 0;
    name.value = '';
    reason.value = '';
    accuse(null, '');
    draw();
  }

  const show = () => {
    const one = KINDS[kind.value];
    hint.textContent = one.hint;
    reasonField.hidden = kind.value !== 'keep_clear';
    distanceField.hidden = kind.value !== 'keep_clear';
    if (pen.isHeld()) begin();
    draw();
  };
  const panel = h('div', { class: 'panel' },
    h('section', {}, h('h2', {}, 'Draw'), field('What', kind), hint,
      h('div', { class: 'row' }, pointer, button('Point at the middle of the map', middle)),
      h('p', { class: 'hint' }, 'With the keyboard: move the map by its arrow keys or buttons until the cross is where the point belongs, then press “Point at the middle of the map”. Or type coordinates below.'),
      h('table', { class: 'points' }, h('caption', { class: 'told' }, 'Points, in metres of the plan'),
        h('thead', {}, h('tr', {}, ...['Point', 'Easting m', 'Northing m'].map((words) => h('th', { scope: 'col' }, words)), h('th', { scope: 'col' }, h('span', { class: 'told' }, 'Take out')))), rows),
      h('div', { class: 'row' }, typed),
      field('Name', name), reasonField, distanceField, fault,
      h('div', { class: 'row' }, button('Put it on the map', place, { class: 'strong' }), button('Start again', clearAll))),
    h('section', {}, h('h2', {}, 'Drawn by hand'), list));
  kind.addEventListener('change', show);
  on('scene', (scene) => {
    const at = [...list.children].findIndex((one) => one.contains(document.activeElement));
    keeping(list, () => put(list, ...scene.drawn.map(drawnItem), scene.drawn.length ? null : h('li', {}, 'Nothing yet.')),
      () => list.children[Math.min(at, list.children.length - 1)]?.querySelector('button') ?? list);
  });
  on('view', stop);
  // Before the map hears it: Escape puts the pen down, and what is chosen stays.
  document.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || !pen.isHeld()) return;
    event.stopPropagation();
    stop();
  }, { capture: true });
  show();
  return {
    panel,
    opened: (is) => {
      cross.classList.toggle('drawing', is); // it shows where a point would go
      if (!is) stop();
    },
  };
}

function drawnItem({ what, index, name, geometry }) {
  const { title } = KINDS[what] ?? { title: what };
  const count = (geometry.type === 'LineString' ? geometry.coordinates.length : (geometry.coordinates[0]?.length ?? 1) - 1);
  return h('li', {}, h('span', {}, h('b', {}, name || 'no name'), ` ${title.toLowerCase()}, ${number(count)} points`),
    button('Erase', () => change({ erase: { what, index } }), { 'aria-label': `Erase ${title.toLowerCase()} ${name}` }));
}

