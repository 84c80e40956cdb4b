// A map of a plan that does not follow the state: the plan as it was opened, or the plan on paper.
import { interactions } from './interactions.js';
import { fillLayers, layersOf } from './layers.js';
import { state } from '../store.js';
const { ol } = globalThis;

/**
 * A map of `scene` in `target`, with the ground that the main map shows.
 *
 * @param {HTMLElement} target
 * @param {object} scene a plan with its geometry
 * @param {{view: ol.View, keyboardEventTarget?: HTMLElement, pixelRatio?: number}} told
 * @param {ol.layer.Base[]} [more] layers above
 */
export function stillMap(target, scene, told, main, more = []) {
  const layers = layersOf(state.property, () => scene);
  fillLayers(layers, scene, scene.geometry ?? state.geometry);
  layers.ground.setSource(main.layers.ground.getSource());
  layers.ground.setOpacity(main.layers.ground.getOpacity());
  for (const key of ['mosaic', 'letters', 'stands', 'keepClear', 'landLetters', 'boundary']) {
    layers[key].setOpacity(main.layers[key].getOpacity());
    layers[key].setVisible(main.layers[key].getVisible());
  }
  const map = new ol.Map({ target, controls: [], interactions: interactions(target), layers: [...Object.values(layers), ...more], ...told });
  return { map, layers };
}
