// The files: dropped on the page or chosen, and what each holds.
import { Refusal, sendFile } from '../api.js';
import { announce } from '../announce.js';
import { h, put } from '../dom.js';
import { problemList } from '../problems.js';
import { size } from '../words.js';

/** @param {HTMLElement} section @param {() => void} arrived called when files have come in */
export function startFiles(section, arrived) {
  const pick = h('input', { type: 'file', multiple: true, id: 'pick', onchange: () => take([...pick.files]) });
  const drop = h('div', { class: 'drop' },
    h('label', { for: 'pick' }, 'Drop files here, or choose them'), pick,
    h('p', { class: 'hint' }, 'Boundary, elevation, cover, soil, streams, tracks, lines and sites to keep clear of; a climate table; your stock. All parts of a shapefile together.'));
  const told = h('div');
  const list = h('ul', { class: 'held' });
  section.append(
    h('p', { class: 'hint' }, 'They are copied into the folder of the property. Files that are there already need not be dropped.'),
    drop, told, list);

  const over = (event) => {
    if (!event.dataTransfer?.types.includes('Files')) return;
    event.preventDefault();
    drop.classList.add('over');
  };
  // Anywhere on the page: a file that misses the box must not open in its place.
  addEventListener('dragover', over);
  addEventListener('dragleave', (event) => { if (!event.relatedTarget) drop.classList.remove('over'); });
  addEventListener('drop', async (event) => {
    if (!event.dataTransfer?.types.includes('Files')) return;
    event.preventDefault();
    drop.classList.remove('over');
    take(await filesOf(event.dataTransfer));
  });

  async function take(files) {
    if (files.length === 0) return;
    const problems = [];
    let came = 0;
    for (const file of files) {
      put(told, h('p', {}, `Taking in ${file.name} …`));
      try {
        await sendFile(`/api/begin/files/${encodeURIComponent(file.name)}`, file);
        came += 1;
      } catch (fault) {
        if (!(fault instanceof Refusal)) throw fault;
        problems.push(...fault.problems);
      }
    }
    put(told, problems.length ? problemList(problems) : null);
    announce(`${came} of ${files.length} files taken in.${problems.length ? ` ${problems[0].found}.` : ''}`);
    pick.value = '';
    arrived();
  }

  return {
    show({ files }) {
      put(list, ...files.map((file) => h('li', {}, h('b', {}, file.name), ` ${holds(file)}`, h('span', { class: 'quiet' }, size(file.bytes)))));
      if (files.length === 0) put(list, h('li', {}, 'No files yet.'));
    },
  };
}

function holds({ holds: what }) {
  if (what.layers) return what.layers.length === 1 ? 'one layer' : `${what.layers.length} layers`;
  if (what.other) return what.other;
  return { climate: 'climate normals', stock: 'stock: lines that can be planted', site: 'a site: load this page again after `hillweave open`' }[what] ?? '';
}

/** Files of a drop; of a folder, those in it. */
async function filesOf(transfer) {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  if (!entries.some((entry) => entry.isDirectory)) return [...transfer.files];
  const inside = await Promise.all(entries.map((entry) => (entry.isDirectory ? within(entry) : [entry])));
  const files = inside.flat().filter((entry) => entry.isFile && !entry.name.startsWith('.'));
  return Promise.all(files.map((entry) => new Promise((done, fail) => { entry.file(done, fail); })));
}

async function within(folder) {
  const reader = folder.createReader();
  const all = [];
  for (;;) {
    const some = await new Promise((done, fail) => { reader.readEntries(done, fail); });
    if (some.length === 0) return all;
    all.push(...some);
  }
}
