// Cautions: always a button away, in words.
import { button, h, put } from './dom.js';
import { choose, on, state } from './store.js';
import { measured, number } from './words.js';
import { refill } from './map/layers.js';
import { zonesNamed } from './map/main_map.js';

/** @param {HTMLDialogElement} dialog @param {HTMLButtonElement} opener */
export function startCautions(dialog, opener, { layers }) {
  opener.addEventListener('click', () => { draw(dialog, layers); dialog.showModal(); });
  on('scene', (scene) => { opener.textContent = `Cautions (${scene.cautions.length})`; });
}

function draw(dialog, layers) {
  put(dialog,
    h('h2', { id: 'cautions-title' }, 'Cautions'),
    h('p', {}, 'Made from layers by reckoning, not by looking at the ground. Steep ground, sprays, power lines, burial sites and floods hurt people: ask the council, the line company, tangata whenua and licensed people before work starts. They decide.'),
    ...state.scene.cautions.map((one) => caution(one, dialog, layers)),
    h('p', { class: 'row' },
      button('Show none on the map', () => { layers.cautioned.setVisible(false); dialog.close(); }),
      button('Close', () => dialog.close(), { class: 'strong' })));
}

function caution({ about, zones, plan_area_ha: area, text }, dialog, layers) {
  const show = () => {
    refill(layers.cautioned, zonesNamed(layers, zones));
    layers.cautioned.setVisible(true);
    choose(null);
    dialog.close();
  };
  return h('section', {},
    h('h3', {}, about),
    h('p', {}, `${text}.`),
    h('p', { class: 'row' }, h('span', { class: 'quiet' }, `${number(zones.length)} zones, ${measured(area, 'ha of map')}`),
      zones.length ? button('Outline them on the map', show, { 'aria-label': `Outline them on the map: ${about}` }) : null));
}
