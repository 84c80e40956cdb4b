// What the last change did: before, after, difference, with sign and unit.
import { read, Refusal } from './api.js';
import { button, h, put } from './dom.js';
import { leave } from './focus.js';
import { on, set, state } from './store.js';
import { behind, bothSides, difference, number } from './words.js';

const STAGES = {
  read: 'Layers read anew', ground: 'Ground made anew', zones: 'Zones drawn anew', fit: 'Fit reckoned anew',
  mosaic: 'Lines assigned anew', counts: 'Plants counted anew',
};

const NO_PLAN = 'Kept, but no plan can be made of it as it stands: mend it or undo it. Map and tables show the last plan that could be made.';

/** @param {HTMLElement} box */
export function startDone(box) {
  on('did', (did) => {
    box.hidden = !did;
    if (!did) return;
    const close = button('Close', () => { set('did', null); leave(); }, { 'aria-label': 'Close what the change did' });
    put(box,
      h('div', { class: 'head' }, h('h2', {}, sentence(did.words)), h('span', { class: 'quiet' }, did.planned ? where(did) : NO_PLAN), close),
      did.planned ? h('ul', {}, ...figureList(did.figures)) : null);
    if (did.planned) withCover(box, did);
  });
}

/** Cover takes longer to reckon than lines: its figures come after the others. */
async function withCover(box, did) {
  const told = await read('/api/cover/change').catch((fault) => {
    if (fault instanceof Refusal) return { figures: [] }; // told where cover is looked at
    throw fault;
  });
  if (state.did !== did || told.revision !== state.scene.revision || told.figures.length === 0) return;
  box.querySelector('ul')?.replaceWith(h('ul', {}, ...figureList([...did.figures, ...told.figures])));
}

function where({ zones_changed: zones, took }) {
  const told = zones.length === 0 ? 'No zone changed.' : `${number(zones.length)} ${zones.length === 1 ? 'zone' : 'zones'} changed, outlined by dashes.`;
  return `${told} ${took?.from ? `${STAGES[took.from] ?? took.from} in ${number(took.ms)} ms.` : ''}`;
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

function sentence(words) {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
