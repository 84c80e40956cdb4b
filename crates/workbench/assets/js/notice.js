// What must be seen at once: a change that was refused, a draft that cannot be planned.
import { button, h, put } from './dom.js';
import { keeping, leave } from './focus.js';
import { problemBox } from './problems.js';
import { on, set, state } from './store.js';

const PATIENCE = 400; // milliseconds before it is said that something is under way
const MOST = 2; // problems told over the map

/** @param {HTMLElement} box */
export function startNotice(box) {
  const show = () => {
    const { scene } = state;
    const refused = state.refused?.problems ?? [];
    const faults = scene?.problems.filter((one) => one.severity === 'error') ?? [];
    const stale = scene?.stale
      ? h('div', { class: 'problem', role: 'alert' }, h('strong', {}, 'The map shows the last plan that could be made. '),
        'What you changed since cannot be planned as it stands: mend it or undo it.')
      : null;
    const close = refused.length ? button('Close', () => { set('refused', null); leave(); }, { 'aria-label': 'Close the refusal' }) : null;
    const more = faults.length - MOST;
    const working = slow ? h('div', { class: 'working' }, 'Planning …') : null;
    keeping(box, () => put(box, working, stale, ...faults.slice(0, MOST).map(problemBox),
      more > 0 ? h('div', { class: 'problem' }, `and ${more} more: see Check on the bench.`) : null,
      refused.length ? h('div', { class: 'problem' }, h('strong', {}, 'Not done. '), ...refused.map(problemBox), close) : null), () => close ?? leave());
  };
  let slow = false;
  let waiting = null;
  on('busy', (busy) => {
    clearTimeout(waiting);
    if (busy > 0) {
      waiting = setTimeout(() => { slow = true; show(); }, PATIENCE);
      return;
    }
    if (slow) {
      slow = false;
      show();
    }
  });
  on('scene', show);
  on('refused', show);
}
