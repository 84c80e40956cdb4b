// Reading the plan, changing it, going back and forth: each answer of the program becomes the new state.
import { read, Refusal, send } from './api.js';
import { announce } from './announce.js';
import { set, state } from './store.js';
import { behind, difference, number } from './words.js';

/** Asks for the plan as it is now, to be read later. */
export function askForScene() {
  const scene = read(`/api/scene${known()}`);
  scene.catch(() => {}); // told where it is read
  return scene;
}

/** Reads the plan as it is now. */
export async function readScene(asked = askForScene()) {
  take(await asked);
}

/** Reads the plan as it was when opened, once. */
export async function readOpened() {
  if (!state.opened) set('opened', withOwnGeometry(await read('/api/opened')));
  return state.opened;
}

let last = Promise.resolve();

/** Until every step that was asked for is answered. */
export function settled() {
  return last;
}

/**
 * Asks for one change; changes wait for one another.
 *
 * @param {object|((scene: object) => object)} told the change, or what makes it of the plan as it is when its turn comes
 * @returns {Promise<import('./api.js').Problem[]>} why it was not done; empty when it was
 */
export function change(told) {
  return inTurn('step', () => send(`/api/change${known()}`, typeof told === 'function' ? told(state.scene) : told));
}

/** Takes a step back. */
export function undo() {
  return inTurn('step', () => send(`/api/undo${known()}`, {}));
}

/** Takes a step again. */
export function redo() {
  return inTurn('step', () => send(`/api/redo${known()}`, {}));
}

/** Writes what has changed. */
export function save() {
  return inTurn('save', async () => {
    const { saved, scene } = await send(`/api/save${known()}`, {});
    announce(saved.length ? `Saved: ${saved.join(', ')}.` : 'Nothing to save.');
    set('saved', { files: saved, at: new Date() });
    return scene;
  });
}

function known() {
  return state.scene ? `?known=${state.scene.geometry_revision}` : '';
}

/** Does `work` when all before it is done. A refusal stands until one of its own kind is done. */
function inTurn(kind, work) {
  const turn = last.then(async () => {
    set('busy', state.busy + 1);
    try {
      take(await work());
      if (state.refused?.kind === kind) set('refused', null);
      return [];
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      set('refused', { kind, problems: fault.problems });
      announce(`Not done. ${fault.message}`);
      await readAnew();
      return fault.problems;
    } finally {
      set('busy', state.busy - 1);
    }
  });
  last = turn.catch(() => {});
  return turn;
}

/** After a refusal the page may be behind the program. A program that does not answer leaves it as it is. */
async function readAnew() {
  try {
    await readScene();
  } catch (fault) {
    if (!(fault instanceof Refusal)) throw fault;
  }
}

/** Takes a scene as the new state; polygons that the program left out are those that are here already. */
function take(scene) {
  const isStep = state.scene !== null && scene.revision !== state.scene.revision;
  if (scene.zones.geometry) state.geometry = withOwnGeometry(scene).geometry;
  if (isStep) state.saved = null;
  set('scene', scene);
  if (!isStep) return;
  set('did', scene.change && { ...scene.change, took: scene.took });
  if (scene.change) announce(inWords(state.did));
}

function withOwnGeometry(scene) {
  const { zones, keep_clear: keepClear, stands } = scene;
  return { ...scene, geometry: { zones: zones.geometry, keepClear: keepClear.geometry, stands: stands.geometry } };
}

/** A change in a sentence or two. */
function inWords({ words, figures, zones_changed: zones, planned }) {
  if (!planned) return `${words}: kept, but no plan can be made of it. The map shows the last plan that could be made.`;
  const moved = figures.filter((one) => one.before !== one.after).map((one) => `${one.name} ${difference(one)} ${behind(one.unit)}`);
  const where = zones.length ? ` ${number(zones.length)} ${zones.length === 1 ? 'zone' : 'zones'} changed.` : '';
  return `${words}.${where} ${moved.length ? moved.join(', ') : 'No figure changed'}.`;
}
