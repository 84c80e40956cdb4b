// What is wrong, what to know, and what holds the plan back.
import { h, put } from '../dom.js';
import { problemBox } from '../problems.js';
import { on } from '../store.js';
import { TOTALS } from '../totals.js';
import { measured } from '../words.js';

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
  const rows = TOTALS.map(([key, words, unit]) => [words, totals[key], unit]);
  const groups = Object.entries(totals.slope_group_plan_ha).map(([group, area]) => [`Slope group ${group}`, area, 'ha of map']);
  return h('table', {}, h('caption', { class: 'told' }, 'Totals of the property'),
    h('thead', {}, h('tr', {}, h('th', { scope: 'col' }, 'What'), h('th', { scope: 'col', class: 'figure' }, 'How much'))),
    h('tbody', {}, ...[...rows, ...groups].filter(([, value]) => value !== null && value !== undefined)
      .map(([words, value, unit]) => h('tr', {}, h('th', { scope: 'row' }, words), h('td', { class: 'figure' }, measured(value, unit))))));
}
