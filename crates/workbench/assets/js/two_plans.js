// Two plans side by side: as opened and as it is now, moving as one, with the list of what differs.
import { button, h, put } from './dom.js';
import { figureList } from './done.js';
import { keeping } from './focus.js';
import { stillMap } from './map/still_map.js';
import { inWords } from './map/spoken.js';
import { refill } from './map/layers.js';
import { zonesNamed } from './map/main_map.js';
import { partsOf } from './patterns.js';
import { readOpened } from './plan.js';
import { choose, on, state } from './store.js';
import { compared } from './totals.js';
import { number } from './words.js';

/** @param {HTMLElement} box @returns {Promise<() => void>} what to do when it is shown again */
export async function twoPlans(box, main) {
  const opened = await readOpened();
  box.classList.add('two');
  const [left, right] = ['As opened', 'As it is now'].map((words) => {
    const target = h('div', { class: 'map', tabindex: 0, role: 'application', 'aria-label': `Map: ${words.toLowerCase()}. Arrow keys and plus and minus move both maps.` });
    return { title: h('h2', {}, words), target, side: h('div', { class: 'side' }, target) };
  });
  const differences = h('div', { class: 'differences', tabindex: 0, role: 'region', 'aria-label': 'What differs' });
  box.append(left.title, right.title, left.side, right.side, differences);
  const keyed = (target) => ({ view: main.view, keyboardEventTarget: target });
  const was = stillMap(left.target, opened, keyed(left.target), main);
  let is = null;
  const showNow = () => {
    is?.map.setTarget(null);
    is = stillMap(right.target, { ...state.scene, geometry: state.geometry }, keyed(right.target), main);
    const changed = differing(opened, state.scene);
    refill(is.layers.changed, zonesNamed(is.layers, changed.map((one) => one.id)));
    refill(was.layers.changed, zonesNamed(was.layers, changed.map((one) => one.id)));
    keeping(differences, () => put(differences, ...told(opened, state.scene, changed)), () => differences);
  };
  on('scene', () => { if (state.view === 'two') showNow(); });
  return () => {
    was.map.updateSize();
    showNow();
    is.map.updateSize();
  };
}

/** Zones that stand in one plan alone, or with other lines. */
function differing(opened, scene) {
  const looks = (plan) => new Map(plan.zones.rows.map((row, at) => [row[0], letters(plan, at)]));
  const [was, is] = [looks(opened), looks(scene)];
  const names = [...new Set([...was.keys(), ...is.keys()])].sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
  return names.map((id) => ({ id, was: was.get(id) ?? 'no such zone', is: is.get(id) ?? 'no such zone' })).filter((one) => one.was !== one.is);
}

function letters(plan, at) {
  return partsOf(plan, at).map((part) => `${part.letter} ${number(part.share * 100)} %`).join(' + ');
}

/** Whether zones lie where they lay: as many, each beginning at the same point with as many corners. */
function sameGround(was, is) {
  const mark = (polygons) => `${polygons[0]?.[0]?.[0]} ${polygons[0]?.[0]?.length}`;
  return was.length === is.length && was.every((polygons, at) => mark(polygons) === mark(is[at]));
}

function told(opened, scene, changed) {
  const redrawn = sameGround(opened.geometry.zones, state.geometry.zones) ? null
    : h('p', { class: 'hint' }, 'Zones have been drawn anew since: a name may stand for other ground than it did.');
  return [
    h('h3', {}, 'What differs'),
    h('ul', {}, ...figureList(compared(opened.totals, scene.totals))),
    redrawn,
    changed.length === 0 ? h('p', {}, 'Every zone has the lines that it had.')
      : h('table', {}, h('caption', {}, changed.length === 1 ? 'One zone with other lines, outlined by dashes' : `${number(changed.length)} zones with other lines, outlined by dashes`),
        h('thead', {}, h('tr', {}, ...['Zone', 'As opened', 'As it is now'].map((words) => h('th', { scope: 'col' }, words)))),
        h('tbody', {}, ...changed.slice(0, 300).map((one) => h('tr', {},
          h('th', { scope: 'row' }, button(one.id, () => choose({ kind: 'zone', id: one.id }), { class: 'plain', title: inWords(scene, { kind: 'zone', id: one.id }) })), h('td', {}, one.was), h('td', {}, one.is))))),
    changed.length > 300 ? h('p', {}, `and ${number(changed.length - 300)} more.`) : null,
  ];
}
