// What has been said of the files so far, in the form that the program hears.
import { today } from '../today.js';

/** What the program told of the folder, and what is said of it. */
export const answers = {
  folder: null, // what the program told
  name: '',
  crs: '',
  cell_m: null,
  station_elevation_m: null,
  uses: new Map(), // by key of a layer
  cover: new Map(), // by code
  drainage: new Map(), // by code
};

/** Names a layer of a file. @param {{file: string, layer: string|null}} one */
export function keyOf({ file, layer }) {
  return `${file}\u0000${layer ?? ''}`;
}

/** Takes what the program told of the folder; what has been said of a layer stays said. @param {object} told */
export function begin(told) {
  answers.folder = told;
  answers.name ||= told.name ?? '';
  const known = new Set();
  for (const guess of told.guesses) {
    const key = keyOf(guess);
    known.add(key);
    if (!answers.uses.has(key)) answers.uses.set(key, useOf(guess));
  }
  for (const key of answers.uses.keys()) if (!known.has(key)) answers.uses.delete(key);
}

function useOf({ file, layer, role, field, keep_clear: rule, why }) {
  const dated = rule && { ...rule, date: today() };
  return { file, layer, role, field, unit: null, keep_clear: dated, why, guessed: role };
}

/** The layer that has a role. @param {string} role */
export function layerFor(role) {
  return [...answers.uses.values()].find((one) => one.role === role);
}

/** Takes codes that lie on the property; what has been said of one stays said. @returns {boolean} some are new */
export function takeCodes({ look, cover, drainage }) {
  let isNew = false;
  for (const { code } of look.codes.cover) {
    if (answers.cover.has(code)) continue;
    const isNumber = /^-?\d+$/.test(code);
    answers.cover.set(code, { code, name: isNumber ? '' : code, treatment: cover[code] ?? null, gap_share: null });
    isNew = true;
  }
  for (const { code } of look.codes.drainage) {
    if (answers.drainage.has(code)) continue;
    answers.drainage.set(code, { code, class: drainage[code] ?? null });
    isNew = true;
  }
  return isNew;
}

/** Forgets what codes stood for: another layer or field has others. @param {'cover'|'drainage'} of */
export function forgetCodes(of) {
  answers[of].clear();
}

/** Everything said, as the program hears it. */
export function answersOf() {
  const uses = [...answers.uses.values()].filter((one) => one.role !== 'none');
  return {
    name: answers.name,
    crs: answers.crs.trim() || null,
    cell_m: answers.cell_m,
    station_elevation_m: answers.station_elevation_m,
    uses: uses.map(({ file, layer, role, field, unit, keep_clear: rule }) => ({
      file,
      layer: isShaped(layer) ? layer : null,
      role,
      field: ['cover', 'drainage'].includes(role) ? field : null,
      unit: role === 'elevation' ? unit : null,
      keep_clear: rule ? numbered(rule) : null,
    })),
    cover_classes: [...answers.cover.values()],
    drainage_classes: [...answers.drainage.values()],
  };
}

function isShaped(layer) {
  return layer !== null && layer !== undefined && layer !== '';
}

/** Two layers under one kind of rule get names of their own. */
function numbered(rule) {
  const all = [...answers.uses.values()].map((one) => one.keep_clear).filter((one) => one?.name === rule.name);
  const at = all.indexOf(rule);
  return at > 0 ? { ...rule, name: `${rule.name} ${at + 1}` } : rule;
}
