// Drawing with the pointer, drawn to borders that are near.
import { sketch } from './styles.js';
const { ol } = globalThis;

const NEAR = 10; // CSS pixels within which a point is drawn to a border

/** @param {ol.Map} map @param {(points: number[][]) => void} finished hears the points, in metres of the plan */
export function pointerDrawing(map, layers, finished) {
  let parts = [];
  const stop = () => {
    for (const one of parts) map.removeInteraction(one);
    parts = [];
  };
  const start = (what) => {
    stop();
    const line = what === 'break';
    const pen = new ol.interaction.Draw({ type: line ? 'LineString' : 'Polygon', style: sketch, source: new ol.source.Vector() });
    pen.on('drawend', ({ feature }) => {
      const told = feature.getGeometry().getCoordinates();
      const points = line ? told : told[0].slice(0, -1);
      finished(points.map((point) => point.slice(0, 2).map((one) => Math.round(one * 100) / 100)));
    });
    parts = [pen, ...['boundary', 'drawn', 'mosaic', 'keepClear', 'stands'].map((name) => new ol.interaction.Snap({ source: layers[name].getSource(), pixelTolerance: NEAR }))];
    for (const one of parts) map.addInteraction(one);
  };
  return { start, stop, active: () => parts.length > 0 };
}
