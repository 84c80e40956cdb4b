// What the site is: read when the page opens, and again when its ground has been made anew.
import { read, Refusal } from './api.js';
import { on, set, state } from './store.js';

/** Reads what the site is. */
export async function readProperty() {
  set('property', await read('/api/property'));
}

/** Tells the property with the state of its ground, and reads it again when that moves. */
export function followGround() {
  let of = null;
  on('scene', async ({ ground_revision: ground }) => {
    if (ground === of) return;
    const isFirst = of === null;
    of = ground;
    try {
      const told = isFirst ? state.property : await read('/api/property');
      if (ground === of) set('property', { ...told, of });
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      set('refused', { kind: 'step', problems: fault.problems });
    }
  });
}
