// What is chosen, in words.
import { measured, percent } from '../words.js';

/** A sentence about what is chosen. */
export function inWords(scene, chosen) {
  if (!chosen) return 'Nothing chosen.';
  if (chosen.kind === 'zone') return zoneInWords(scene, chosen.id);
  if (chosen.kind === 'line') return `Line ${scene.lines.find((line) => line.stock_id === chosen.id)?.name ?? chosen.id}: its zones are outlined.`;
  const table = chosen.kind === 'stand' ? scene.stands : scene.keep_clear;
  const row = table.rows.find((one) => one[0] === chosen.id) ?? [];
  const what = chosen.kind === 'stand' ? 'native stand, kept' : 'kept clear';
  return `${chosen.id}, ${what}: ${row[1] ?? ''}.`;
}

function zoneInWords(scene, id) {
  const { zones, lines } = scene;
  const at = zones.rows.findIndex((row) => row[0] === id);
  if (at < 0) return `${id} is no longer a zone of this plan.`;
  const area = zones.rows[at][zones.columns.findIndex((column) => column.name === 'plan_area_ha')];
  const planted = zones.lines[at].map((part) => `${lines[part.line].name} ${percent(part.share)}`);
  return `Zone ${id}, ${measured(area, 'ha of map')}: ${planted.length ? planted.join(', ') : 'left to regenerate'}.`;
}
