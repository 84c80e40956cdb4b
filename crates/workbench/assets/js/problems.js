// Problems as they are told: where, what was found, what was expected, the remedy.
import { h } from './dom.js';

/** @param {import('./api.js').Problem[]} problems */
export function problemList(problems) {
  return h('div', {}, ...problems.map(problemBox));
}

/** @param {import('./api.js').Problem} problem */
export function problemBox({ severity, file, item, line, column, found, expected, remedy }) {
  const place = line ? `, line ${line}${column ? `, column ${column}` : ''}` : '';
  const rows = [['Found', found], ['Expected', expected], ['Remedy', remedy]].filter(([, words]) => words);
  return h('div', { class: 'problem' },
    h('strong', {}, severity === 'warning' ? 'Warning: ' : 'Problem: '), [file, item].filter(Boolean).join(': '), place,
    h('dl', {}, ...rows.flatMap(([name, words]) => [h('dt', {}, name), h('dd', {}, words)])));
}
