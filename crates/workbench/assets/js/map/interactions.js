// How a map is moved by pointer, wheel and keys.
import { isNarrow } from '../rooms.js';
const { ol } = globalThis;

/**
 * Interactions for the map in `target`: it is pulled without being clicked first. The wheel zooms, but where the page
 * itself is scrolled (one room below the other) it waits for a click on the map.
 *
 * @param {HTMLElement} target
 */
export function interactions(target) {
  const all = ol.interaction.defaults.defaults({ onFocusOnly: false, mouseWheelZoom: false });
  all.push(new ol.interaction.MouseWheelZoom({ condition: () => !isNarrow() || target.contains(document.activeElement) }));
  return all;
}
