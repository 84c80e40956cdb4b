// What is handed over: the report, files for others, the print sheet.
import { Refusal, send } from '../api.js';
import { announce } from '../announce.js';
import { able, button, field, h, put } from '../dom.js';
import { save } from '../plan.js';
import { problemList } from '../problems.js';
import { on, state } from '../store.js';
import { today } from '../today.js';
import { size } from '../words.js';

/** @returns {HTMLElement} the panel */
export function handOverPanel() {
  const date = h('input', { type: 'date', value: today(), required: true });
  const start = h('input', { type: 'month', value: today().slice(0, 7), required: true });
  const report = maker('make the report', '/api/report', () => ({ date: date.value, start: start.value }), 'Report');
  const files = maker('write the files', '/api/export', () => ({}), 'Files');
  const draft = h('p', { class: 'quiet' });
  on('scene', (scene) => {
    draft.textContent = draftWords(scene);
    for (const one of [report, files]) one.show(scene);
  });
  return h('div', { class: 'panel' },
    h('h2', {}, 'Hand over'), draft,
    h('section', {}, h('h3', {}, 'Report'),
      h('p', { class: 'hint' }, 'The whole plan as a document for the owner, with every figure, its unit and its source. It promises no income.'),
      field('Date on the report', date), field('Work starts in', start), report.act, report.box),
    h('section', {}, h('h3', {}, 'Files for others'),
      h('p', { class: 'hint' }, 'The plan as layers for mapping programs and receivers, each read back before it counts.'),
      files.act, files.box),
    h('section', {}, h('h3', {}, 'On paper'),
      button('Open the print sheet', () => document.querySelector('[data-view="print"]').click())));
}

function draftWords({ unsaved, stale }) {
  if (stale) return 'What is on the bench has no plan: mend it or undo it before anything is handed over.';
  return unsaved.length ? `Not saved yet: ${unsaved.join(', ')}. Reports and files are made of saved files: save first.` : '';
}

/** A button that makes something of the saved files, and saves them first where they are not. */
function maker(words, path, body, title) {
  const box = h('div');
  const act = button('', async () => {
    if (state.scene.unsaved.length && (await save()).length) return;
    await make(path, body(), box, title);
  }, { class: 'strong' });
  return {
    act,
    box,
    show({ unsaved, stale }) {
      act.textContent = unsaved.length ? `Save and ${words}` : `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
      able(act, !stale);
    },
  };
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
