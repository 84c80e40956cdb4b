// Places to look for mother trees: drawn when asked for, and put away when the plan or a rule has changed.
import { read, Refusal } from '../api.js';
import { announce } from '../announce.js';
import { button, h, put } from '../dom.js';
import { settled } from '../plan.js';
import { problemList } from '../problems.js';
import { choose, on, set, state } from '../store.js';

const GONE = 'The plan or a rule has changed: draw the places again.';

/** @returns {HTMLElement} */
export function treesSection() {
  const body = h('div');
  let of = null; // revision of the plan whose places are shown

  const ask = async () => {
    put(body, h('p', {}, 'Drawing places …'));
    try {
      await settled();
      of = state.scene.revision;
      const trees = await read('/api/trees');
      if (of === state.scene.revision) set('trees', trees);
      else put(body, h('p', { class: 'hint' }, GONE));
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      put(body, problemList(fault.problems));
    }
  };
  const draw = button('Draw the places', ask);

  function away() {
    set('trees', null);
    if (state.chosen?.kind === 'tree') choose(null);
  }

  on('trees', (trees) => {
    if (!trees) return;
    const cautions = trees.cautions.map((one) => h('li', {}, h('b', {}, `${one.about}: `), one.text));
    const hide = button('Hide the places', () => { away(); put(body); draw.focus(); announce('Places hidden.'); });
    put(body,
      h('p', { role: 'status' }, `${trees.rows.length} places. ${trees.because}`),
      h('ul', { class: 'hint' }, ...cautions),
      h('p', { class: 'row' }, hide));
  });
  on('scene', ({ revision }) => {
    if (!state.trees || revision === of) return;
    away();
    put(body, h('p', { class: 'hint' }, GONE));
    announce(GONE);
  });
  return h('section', {}, h('h2', {}, 'Trees to sample'), h('p', { class: 'hint' }, 'Where to look for mother trees in the kept stands, spread evenly. Ask whose trees they are before anything is taken.'), h('div', { class: 'row' }, draw), body);
}
