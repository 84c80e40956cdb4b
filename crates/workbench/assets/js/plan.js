// Reading the plan, changing it, going back and forth: each answer of the program becomes the new state.
import { read, Refusal, send } from './api.js';
import { announce } from './announce.js';
import { set, state } from './store.js';
import { difference } from './words.js';

/** Reads the plan as it is now. */
export async function readScene() {
  take(await read('/api/scene'));
}

/** Reads the plan as it was when opened, once. */
export async function readOpened() {
  if (!state.opened) set('opened', withOwnGeometry(await read('/api/opened')));
  return state.opened;
}

let last = Promise.resolve();

/** Asks for one change; changes wait for one another. @param {object} change @returns {Promise<boolean>} done */
export function change(body) {
  return inTurn(() => send(`/api/change${known()}`, body));
}

/** @returns {Promise<boolean>} */
export function undo() {
  return inTurn(() => send(`/api/undo${known()}`, {}));
}

/** @returns {Promise<boolean>} */
export function redo() {
  return inTurn(() => send(`/api/redo${known()}`, {}));
}

/** @returns {Promise<boolean>} */
export function save() {
  return inTurn(async () => {
    const { saved, scene } = await send('/api/save', {});
    announce(saved.length ? `Saved: ${saved.join(', ')}.` : 'Nothing to save.');
    return scene;
  });
}

function known() {
  return state.scene ? `?known=${state.scene.geometry_revision}` : '';
}

function inTurn(work) {
  const turn = last.then(async () => {
    set('busy', state.busy + 1);
    try {
      take(await work());
      set('refused', []);
      return true;
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      set('refused', fault.problems);
      announce(`Not done. ${fault.message}`);
      return false;
    } finally {
      set('busy', state.busy - 1);
    }
  });
  last = turn.catch(() => {});
  return turn;
}

/** Takes a scene as the new state; polygons that the program left out are those that are here already. */
function take(scene) {
  const told = scene.zones.geometry ? withOwnGeometry(scene).geometry : state.geometry;
  state.geometry = told;
  set('scene', scene);
  if (scene.change) announce(inWords(scene.change));
}

function withOwnGeometry(scene) {
  const { zones, keep_clear: keepClear, stands } = scene;
  return { ...scene, geometry: { zones: zones.geometry, keepClear: keepClear.geometry, stands: stands.geometry } };
}

/** A change in a sentence or two. */
function inWords({ words, figures, zones_changed: zones }) {
  const moved = figures.filter((one) => one.before !== one.after).map((one) => `${one.name} ${difference(one)}`);
  const where = zones.length ? ` ${zones.length} zones changed.` : '';
  return `${words}.${where} ${moved.length ? moved.join(', ') : 'No figure changed'}.`;
}
