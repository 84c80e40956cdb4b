// Drawing with the pointer, drawn to borders that are near.
import { sketch } from './styles.js';
const { ol } = globalThis;

const NEAR = 10; // CSS pixels within which a point is drawn to a border
const CLICK = 300; // milliseconds after which no click of the drawing can still choose or zoom (OpenLayers waits 250)

/**
 * A pen for `map`: one drawing each time that it is taken up.
 *
 * @param {ol.Map} map
 * @param {Record<string, object>} layers whose borders are drawn to
 * @param {{finished: (points: number[][]) => void, changed: (isActive: boolean) => void}} hear `finished`: the points, in
 *   metres of the plan; `changed`: whether the pen is held
 */
export function pointerDrawing(map, layers, { finished, changed }) {
  let parts = [];
  let held = false;
  let waits = null;
  const putDown = () => {
    clearTimeout(waits);
    for (const one of parts) map.removeInteraction(one);
    parts = [];
  };
  const hold = (is) => {
    if (held === is) return;
    held = is;
    changed(is);
  };
  const stop = () => {
    putDown();
    hold(false);
  };
  const start = (what) => {
    putDown();
    const line = what === 'break';
    const pen = new ol.interaction.Draw({ type: line ? 'LineString' : 'Polygon', style: sketch, source: new ol.source.Vector() });
    pen.on('drawend', ({ feature }) => {
      const told = feature.getGeometry().getCoordinates();
      const points = line ? told : told[0].slice(0, -1);
      waits = setTimeout(putDown, CLICK);
      hold(false);
      finished(points.map((point) => point.slice(0, 2).map((one) => Math.round(one * 100) / 100)));
    });
    parts = [pen, ...['boundary', 'drawn', 'mosaic', 'keepClear', 'stands'].map((name) => new ol.interaction.Snap({ source: layers[name].getSource(), pixelTolerance: NEAR }))];
    for (const one of parts) map.addInteraction(one);
    hold(true);
  };
  return { start, stop, isHeld: () => held };
}
