// What is handed over: the report, files for others, the print sheet.
import { Refusal, send } from '../api.js';
import { announce } from '../announce.js';
import { button, field, h, put } from '../dom.js';
import { problemList } from '../problems.js';
import { on } from '../store.js';
import { size } from '../words.js';

/** @returns {HTMLElement} the panel */
export function handOverPanel() {
  const today = new Date().toISOString().slice(0, 10);
  const date = h('input', { type: 'date', value: today, required: true });
  const start = h('input', { type: 'month', value: today.slice(0, 7), required: true });
  const report = h('div');
  const files = h('div');
  const unsaved = h('p', { class: 'quiet' });
  on('scene', (scene) => {
    unsaved.textContent = scene.unsaved.length ? `Not saved yet: ${scene.unsaved.join(', ')}. What is handed over is the plan as it stands here.` : '';
  });
  return h('div', { class: 'panel' },
    h('h2', {}, 'Hand over'), unsaved,
    h('section', {}, h('h3', {}, 'Report'),
      h('p', { class: 'hint' }, 'The whole plan as a document for the owner, with every figure, its unit and its source. It promises no income.'),
      field('Date on the report', date), field('Work starts in', start),
      button('Make the report', () => make('/api/report', { date: date.value, start: start.value }, report, 'Report'), { class: 'strong' }), report),
    h('section', {}, h('h3', {}, 'Files for others'),
      h('p', { class: 'hint' }, 'The plan as layers for mapping programs and receivers, each read back before it counts.'),
      button('Write the files', () => make('/api/export', {}, files, 'Files'), { class: 'strong' }), files),
    h('section', {}, h('h3', {}, 'On paper'),
      button('Open the print sheet', () => document.querySelector('[data-view="print"]').click())));
}

async function make(path, body, box, words) {
  put(box, h('p', {}, 'Working …'));
  announce(`${words}: working.`);
  try {
    const { folder, files, problems = [] } = await send(path, body);
    put(box, h('p', {}, `In ${folder}:`),
      h('ul', { class: 'files' }, ...files.map((file) => h('li', {}, h('a', { href: file.url, target: '_blank', rel: 'noopener' }, file.name), ` ${size(file.bytes)} `, h('a', { href: file.url, download: file.name, 'aria-label': `Download ${file.name}` }, 'download')))),
      problems.length ? problemList(problems) : null);
    announce(`${words} made: ${files.length} files.`);
  } catch (fault) {
    if (!(fault instanceof Refusal)) throw fault;
    put(box, problemList(fault.problems));
    announce(`${words} not made. ${fault.message}`);
  }
}
