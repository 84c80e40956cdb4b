// What the last change did: before, after, difference, with sign and unit.
import { button, h, put } from './dom.js';
import { on } from './store.js';
import { behind, bothSides, difference, number } from './words.js';

const STAGES = {
  read: 'Layers read anew', ground: 'Ground made anew', zones: 'Zones drawn anew', fit: 'Fit reckoned anew',
  mosaic: 'Lines assigned anew', counts: 'Plants counted anew',
};

/** @param {HTMLElement} box */
export function startDone(box) {
  on('scene', ({ change, took }) => {
    box.hidden = !change;
    if (!change) return;
    const zones = change.zones_changed;
    const where = zones.length === 0 ? 'No zone changed.' : `${number(zones.length)} ${zones.length === 1 ? 'zone' : 'zones'} changed, outlined by dashes.`;
    put(box,
      h('div', { class: 'head' }, h('h2', {}, sentence(change.words)), h('span', { class: 'quiet' }, `${where} ${told(took)}`),
        button('Close', () => { box.hidden = true; }, { 'aria-label': 'Close what the change did' })),
      h('ul', {}, ...figureList(change.figures)));
  });
}

/** What moved, each by itself, then the names of what did not. */
export function figureList(figures) {
  const moved = figures.filter((one) => one.before !== one.after);
  const same = figures.filter((one) => one.before === one.after).map((one) => one.name);
  return [...moved.map(figure), same.length ? h('li', { class: 'same' }, `As before: ${same.join(', ')}`) : null].filter(Boolean);
}

function figure(one) {
  const { name, unit } = one;
  const [was, is] = bothSides(one);
  return h('li', {}, `${name}: ${was} → ${is} ${behind(unit)} `, h('span', { class: 'gap' }, `(${difference(one)})`));
}

function told(took) {
  return took?.from ? `${STAGES[took.from] ?? took.from} in ${number(took.ms)} ms.` : '';
}

function sentence(words) {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
