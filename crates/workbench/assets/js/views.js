// Which view is shown: the map, two plans, the hill, the print sheet. The others are made when first asked for.
import { announce } from './announce.js';
import { h } from './dom.js';
import { mainMap, viewOf } from './map/main_map.js';
import { set, state } from './store.js';

/** Where the skip links lead in each view; null: there is no such room. */
const SKIPS = {
  map: { words: 'Map', to: 'map', bench: true, tables: true },
  two: { words: 'Two plans', to: 'view-two', bench: true, tables: false },
  hill: { words: 'Hill', to: 'view-hill', bench: true, tables: false },
  print: { words: 'Print sheet', to: 'view-print', bench: false, tables: false },
};

function skips(key) {
  const { words, to, bench, tables } = SKIPS[key];
  const first = document.getElementById('skip-view');
  first.textContent = words;
  first.href = `#${to}`;
  document.getElementById('skip-bench').hidden = !bench;
  document.getElementById('skip-tables').hidden = !tables;
}

/**
 * Makes the main map in `box` and hears the switches in `switches`.
 *
 * @param {HTMLElement} box
 * @param {HTMLElement} switches
 */
export function startViews(box, switches) {
  const mapBox = h('div', { class: 'view', dataset: { view: 'map' } });
  box.append(mapBox);
  const main = mainMap(mapBox, viewOf(state.property));
  const made = { map: { box: mapBox, shown: () => main.map.updateSize() } };
  const makers = {
    two: async (into) => (await import('./two_plans.js')).twoPlans(into, main),
    hill: async (into) => (await import('./hill.js')).hill(into),
    print: async (into) => (await import('./print_sheet.js')).printSheet(into, main),
  };

  async function show(key) {
    for (const one of switches.querySelectorAll('button')) one.setAttribute('aria-pressed', String(one.dataset.view === key));
    for (const [name, one] of Object.entries(made)) one.box.hidden = name !== key;
    set('view', key);
    document.getElementById('rooms').dataset.view = key;
    skips(key);
    if (!made[key]) {
      const into = h('div', { class: 'view', id: SKIPS[key].to, tabindex: -1, dataset: { view: key } });
      box.append(into);
      made[key] = { box: into, shown: () => {} };
      made[key].shown = (await makers[key](into)) ?? (() => {});
    }
    made[key].box.hidden = state.view !== key;
    made[key].shown();
  }

  for (const one of switches.querySelectorAll('button')) {
    one.addEventListener('click', () => { show(one.dataset.view).then(() => announce(`${one.textContent} shown.`)); });
  }
  return { ...main, show };
}
