// What is chosen, in words.
import { behind, cell, measured, percent } from '../words.js';

/** A sentence about what is chosen. */
export function inWords(scene, chosen) {
  if (!chosen) return 'Nothing chosen.';
  if (chosen.kind === 'zone') return zoneInWords(scene, chosen.id);
  if (chosen.kind === 'line') return `Line ${scene.lines.find((line) => line.stock_id === chosen.id)?.name ?? chosen.id}: its zones are outlined.`;
  if (chosen.kind === 'piece') return `${chosen.id}, ground below its target of cover.`;
  if (chosen.kind === 'tree') return `${chosen.id}, a place to look for a mother tree.`;
  const table = chosen.kind === 'stand' ? scene.stands : scene.keep_clear;
  const row = table.rows.find((one) => one[0] === chosen.id) ?? [];
  const what = chosen.kind === 'stand' ? 'native stand, kept' : 'kept clear';
  return `${chosen.id}, ${what}: ${row[1] ?? ''}.`;
}

/** What is known of a thing that is not a zone, as names and values. @returns {[string, string][]} */
export function factsOf({ scene, cover, trees }, { kind, id }) {
  if (kind === 'line') return lineFacts(scene.lines.find((line) => line.stock_id === id));
  const table = { stand: scene.stands, keep_clear: scene.keep_clear, piece: cover?.pieces, tree: trees }[kind];
  const row = table?.rows.find((one) => one[0] === id);
  if (!row) return [];
  return table.columns.map((column, at) => [column.title, row[at] === null ? '–' : `${cell(row[at], column)} ${behind(column.unit)}`]).slice(1);
}

function lineFacts(line) {
  if (!line) return [];
  return [
    ['Kind', line.kind === 'seed_line' ? 'local seed' : 'cultivar'],
    ['Letter', line.letter],
    ['Planted', measured(line.plan_ha, 'ha of map')],
    ['Into the ground', measured(line.seedlings, 'plants')],
    ['To order', measured(line.order_qty, 'plants')],
    ['Can be had', line.supply === null ? 'not limited' : measured(line.supply, 'plants')],
    ['Cost of plants', line.cost_nzd === null ? 'not known' : measured(line.cost_nzd, 'NZ$')],
  ];
}

function zoneInWords(scene, id) {
  const { zones, lines } = scene;
  const at = zones.rows.findIndex((row) => row[0] === id);
  if (at < 0) return `${id} is no longer a zone of this plan.`;
  const area = zones.rows[at][zones.columns.findIndex((column) => column.name === 'plan_area_ha')];
  const planted = zones.lines[at].map((part) => `${lines[part.line].name} ${percent(part.share)}`);
  return `Zone ${id}, ${measured(area, 'ha of map')}: ${planted.length ? planted.join(', ') : 'left to regenerate'}.`;
}
