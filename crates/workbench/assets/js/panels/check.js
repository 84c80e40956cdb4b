// What is wrong, what to know, and what holds the plan back.
import { h, put } from '../dom.js';
import { problemBox } from '../problems.js';
import { on } from '../store.js';
import { measured, number } from '../words.js';

/** @returns {HTMLElement} the panel */
export function checkPanel() {
  const body = h('div');
  on('scene', (scene) => put(body, ...sections(scene)));
  return h('div', { class: 'panel' }, h('h2', {}, 'Check'), body);
}

function sections(scene) {
  const { problems, warnings, binding, totals } = scene;
  return [
    h('section', {}, h('h3', {}, `Problems (${problems.length})`),
      scene.stale ? h('p', {}, 'The map shows the last plan that could be made.') : null,
      ...(problems.length ? problems.map(problemBox) : [h('p', {}, 'None: the plan is of what is on the bench now.')])),
    h('section', {}, h('h3', {}, `Warnings (${warnings.length})`), ...warnings.map(problemBox)),
    h('section', {}, h('h3', {}, 'What holds the plan back'),
      binding.length ? h('ul', {}, ...binding.map((one) => h('li', {}, one))) : h('p', {}, 'No limit binds.')),
    h('section', {}, h('h3', {}, 'The whole property'), totalsTable(totals)),
  ];
}

function totalsTable(totals) {
  const rows = [
    ['Property', totals.property_plan_ha, 'ha of map'],
    ['Planting zones', totals.zones_plan_ha, 'ha of map'],
    ['Planted', totals.planted_plan_ha, 'ha of map'],
    ['Planted', totals.planted_ground_ha, 'ha of slope'],
    ['Left to regenerate', totals.left_open_plan_ha, 'ha of map'],
    ['of it open', totals.left_open_plan_ha, 'ha of map'],
    ['Native stands', totals.stands_plan_ha, 'ha of map'],
    ['Kept clear', totals.keep_clear_plan_ha, 'ha of map'],
    ['Seedlings', totals.seedlings, 'plants'],
    ['To order', totals.order_qty, 'plants'],
    ['Cost of plants', totals.cost_nzd, 'NZ$'],
    ['Budget', totals.budget_nzd, 'NZ$'],
    ['Planting', totals.person_days, 'days of one person'],
  ];
  const groups = Object.entries(totals.slope_group_plan_ha).map(([group, area]) => [`Slope group ${group}`, area, 'ha of map']);
  return h('table', {}, h('caption', { class: 'told' }, 'Totals of the property'),
    h('thead', {}, h('tr', {}, h('th', { scope: 'col' }, 'What'), h('th', { scope: 'col', class: 'figure' }, 'How much'))),
    h('tbody', {}, ...[...rows, ...groups].filter(([, value]) => value !== null && value !== undefined)
      .map(([words, value, unit]) => h('tr', {}, h('th', { scope: 'row' }, words), h('td', { class: 'figure' }, Number.isInteger(value) ? `${number(value)} ${unit}` : measured(value, unit))))));
}
