// Problems as they are told: where, what was found, what was expected, the remedy.
import { h } from './dom.js';

/** @param {import('./api.js').Problem[]} problems */
export function problemList(problems) {
  return h('div', {}, ...problems.map(problemBox));
}

/** @param {import('./api.js').Problem} problem */
export function problemBox({ severity, file, item, place, found, expected, remedy }) {
  const where = place ? `, line ${place[0]}, column ${place[1]}` : '';
  const rows = [['Found', found], ['Expected', expected], ['Remedy', remedy]].filter(([, words]) => words);
  return h('div', { class: 'problem' },
    h('strong', {}, severity === 'warning' ? 'Warning: ' : 'Problem: '), [file, item].filter(Boolean).join(': '), where,
    h('dl', {}, ...rows.flatMap(([name, words]) => [h('dt', {}, name), h('dd', {}, words)])));
}
