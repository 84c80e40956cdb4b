// What is read anew with every plan, beside the plan itself.
import { read, Refusal } from './api.js';
import { on, set } from './store.js';

/** Reads `path` whenever the plan is told; the newest answer alone is heard. @param {string} path @param {(told: any) => void} hear */
export function follow(path, hear) {
  let asked = 0;
  on('scene', async () => {
    asked += 1;
    const mine = asked;
    try {
      const told = await read(path);
      if (mine === asked) hear(told);
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      if (mine === asked) set('refused', { kind: 'step', problems: fault.problems });
    }
  });
}
