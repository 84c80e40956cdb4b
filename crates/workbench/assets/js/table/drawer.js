// The drawer of tables: the same as the map, in rows; either chooses for the other.
import { announce } from '../announce.js';
import { button, h, put } from '../dom.js';
import { choose, on, state } from '../store.js';
import { tabs } from '../tabs.js';
import { number } from '../words.js';
import { sheet } from './sheet.js';

const pickZone = (at) => (row) => choose({ kind: 'zone', id: row[at] });
const SHEETS = [
  {
    key: 'zones', title: 'Zones', caption: 'Planting zones', of: (scene) => planted(scene), pick: pickZone(0),
    brief: ['zone_id', 'planted', 'plan_area_ha', 'slope_group', 'slope_mean_deg', 'elevation_mean_m', 'wetness_class', 'sun_class', 'cover_treatment', 'best_fit', 'runner_up', 'left_share', 'reason'],
  },
  {
    key: 'blocks', title: 'Blocks', caption: 'Blocks: one zone and one line', of: (scene) => scene.blocks, pick: pickZone(1),
    brief: ['block_id', 'zone_id', 'stock_id', 'share', 'plan_area_ha', 'density_sph', 'spacing_m', 'seedlings', 'order_qty', 'fit', 'fit_class', 'limiting_factor', 'person_days'],
  },
  {
    key: 'orders', title: 'Orders', caption: 'Orders by delivery', of: (scene) => scene.orders,
    pick: (row) => choose({ kind: 'line', id: row[1] }),
    brief: ['order_id', 'stock_id', 'stock_name', 'season', 'delivery_no', 'plants', 'trays', 'seedlings', 'order_qty', 'survival', 'chance'],
  },
  {
    key: 'keep-clear', title: 'Keep clear', caption: 'Ground kept clear', of: (scene) => scene.keep_clear,
    pick: (row) => choose({ kind: 'keep_clear', id: row[0] }),
    brief: ['keep_clear_id', 'rules', 'reason', 'authority', 'date', 'plan_area_ha'],
  },
  {
    key: 'stands', title: 'Stands', caption: 'Native stands, kept', of: (scene) => scene.stands,
    pick: (row) => choose({ kind: 'stand', id: row[0] }),
    brief: ['stand_id', 'cover', 'plan_area_ha', 'ground_area_ha', 'elevation_mean_m'],
  },
  {
    key: 'pieces', title: 'Cover', caption: 'Ground below its target of cover', of: (scene, cover) => cover?.pieces ?? null,
    empty: 'Not reckoned yet: ask for cover by year under Look on the bench.',
    pick: (row) => choose({ kind: 'piece', id: row[0] }),
    brief: ['piece_id', 'lies_in', 'plan_area_ha', 'slope_groups', 'protected_now', 'protected_then', 'reaches_years', 'remedy_nzd', 'remedy_words', 'reason', 'caution'],
  },
  {
    key: 'trees', title: 'Trees', caption: 'Places to look for mother trees', of: (scene, cover, trees) => trees,
    empty: 'Not drawn yet: ask for trees to sample under Look on the bench.',
    pick: (row) => choose({ kind: 'tree', id: row[0] }),
    brief: ['tree_id', 'stand_id', 'stratum', 'easting_m', 'northing_m', 'elevation_m', 'slope_deg', 'aspect_deg', 'to_track_m', 'caution'],
  },
];

/** The table of zones with what stands in each, by letters, as its second column. */
function planted({ zones, lines }) {
  const column = { name: 'planted', title: 'Planted with', unit: '', kind: 'text', meaning: 'Letters of the lines that stand there; r: left to regenerate.' };
  const letters = (at) => zones.lines[at].map((part) => `${lines[part.line].letter} ${lines[part.line].name}`).join(' + ') || 'r left to regenerate';
  const [first, ...others] = zones.columns;
  return { columns: [first, column, ...others], rows: zones.rows.map(([id, ...cells], at) => [id, letters(at), ...cells]) };
}

/** Fills the drawer. @param {HTMLElement} box */
export function startDrawer(box) {
  const sheets = SHEETS.map((told) => ({ ...told, sheet: sheet({ ...told, kind: told.key }) }));
  let current = sheets[0];
  const list = h('div', { role: 'tablist', 'aria-label': 'Tables', class: 'tabs' });
  const panels = h('div', { class: 'panels' });
  const filter = h('input', { type: 'search', id: 'filter', oninput: () => filtered() });
  const all = h('input', { type: 'checkbox', id: 'all-columns', onchange: () => sheets.forEach((one) => one.sheet.showAll(all.checked)) });
  const pager = h('span', { class: 'row' });
  const bar = h('div', { class: 'bar' }, list, h('div', { class: 'tools' },
    h('label', { for: 'filter' }, 'Find'), filter,
    h('span', { class: 'tick' }, all, h('label', { for: 'all-columns' }, 'every column')),
    pager,
    button('▲', () => resize(80), { 'aria-label': 'Higher tables', title: 'Higher tables' }),
    button('▼', () => resize(-80), { 'aria-label': 'Lower tables', title: 'Lower tables' })));
  box.append(bar, panels);
  panels.style.minHeight = '0';
  panels.style.overflow = 'hidden';

  const filtered = () => {
    const rows = current.sheet.filter(filter.value);
    announce(`${number(rows)} rows.`);
  };
  const show = tabs(list, panels, sheets.map((one) => ({ key: one.key, title: one.title, panel: h('div', {}, one.sheet.scroller) })), (key) => {
    current = sheets.find((one) => one.key === key);
    put(pager, current.sheet.pager);
    current.sheet.filter(filter.value);
  });
  for (const panel of panels.children) {
    panel.removeAttribute('tabindex');
    panel.style.height = '100%';
    panel.style.overflow = 'hidden';
  }
  on('scene', (scene) => {
    for (const one of sheets) one.sheet.fill(one.of(scene, state.cover, state.trees));
    markChosen(state.chosen);
  });
  const fillOne = (key) => {
    const one = sheets.find((sheet) => sheet.key === key);
    one.sheet.fill(one.of(state.scene, state.cover, state.trees));
  };
  on('cover', () => {
    fillOne('pieces');
  });
  on('trees', () => fillOne('trees'));
  const markChosen = (chosen) => {
    const kind = { zone: 'zones', keep_clear: 'keep-clear', stand: 'stands', piece: 'pieces', tree: 'trees' }[chosen?.kind];
    for (const one of sheets) if (one.key !== 'orders' && one.key !== 'blocks') one.sheet.mark(one.key === kind ? chosen.id : null);
    if (kind && !['blocks', 'orders'].includes(current.key) && current.key !== kind) show(kind);
  };
  on('chosen', markChosen);
}

const HEIGHT = '--drawer';

function resize(by) {
  const rooms = document.getElementById('rooms');
  const now = document.getElementById('drawer').offsetHeight;
  const next = Math.min(Math.max(now + by, 44), Math.round(rooms.offsetHeight * 0.7));
  rooms.style.setProperty(HEIGHT, `${next}px`);
  announce(`Tables ${next} pixels high.`);
}
