// The one state of the page, and who hears when a part of it changes.

/** @type {Record<string, any>} */
export const state = {
  property: null, // what the site is: read once
  scene: null, // the plan as it is now
  geometry: null, // polygons of zones, keep-clear ground and stands, as of scene.geometry_revision
  opened: null, // the plan as it was when opened, or null until it is asked for
  chosen: null, // {kind: 'zone'|'keep_clear'|'stand'|'line'|'piece'|'tree', id}
  view: 'map', // 'map' | 'two' | 'hill' | 'print'
  cover: null, // what the check of cover found, or null until it is asked for
  trees: null, // places to look for mother trees, or null until they are asked for
  coverYear: null, // year shown, or null for none
  did: null, // what the last change did, or null when that is put away
  refused: null, // {kind: 'step'|'save', problems}: what was refused last, or null
  saved: null, // {files, at}: what was saved since the last change, or null
  busy: 0, // changes under way
};

/** @type {Map<string, Set<Function>>} */
const hearers = new Map();

/** Calls `hear` whenever `part` of the state is set. @param {string} part @param {(value: any) => void} hear */
export function on(part, hear) {
  if (!hearers.has(part)) hearers.set(part, new Set());
  hearers.get(part).add(hear);
}

/** Sets `part` of the state and tells its hearers. @param {string} part @param {any} value */
export function set(part, value) {
  state[part] = value;
  for (const hear of hearers.get(part) ?? []) hear(value);
}

/** Chooses a thing, or nothing. @param {{kind: string, id: string}|null} thing */
export function choose(thing) {
  const same = state.chosen?.kind === thing?.kind && state.chosen?.id === thing?.id;
  if (!same) set('chosen', thing);
}
