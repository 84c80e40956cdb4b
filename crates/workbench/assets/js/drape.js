// The plan as a picture to lay over the hill, in the same fills as on the map.
import { BORDER, LAND } from './palette.js';
import { fill, partsOf } from './patterns.js';
import { state } from './store.js';

const SIDE = 2048; // pixels along the longer side

/** A canvas over `extent`. @param {number[]} extent metres of the plan */
export function drape(scene, geometry, extent) {
  const [w, s, e, n] = extent;
  const each = SIDE / Math.max(e - w, n - s);
  const canvas = document.createElement('canvas');
  canvas.width = Math.round((e - w) * each);
  canvas.height = Math.round((n - s) * each);
  const pen = canvas.getContext('2d');
  const at = ([x, y]) => [(x - w) * each, (n - y) * each];
  pen.fillStyle = '#cfc8b8';
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.lineWidth = 1.5;
  pen.strokeStyle = BORDER;
  const paint = (polygons, look) => {
    const path = outline(polygons, at);
    pen.fillStyle = look;
    pen.fill(path, 'evenodd');
    pen.stroke(path);
  };
  geometry.zones.forEach((polygons, of) => paint(polygons, fill(partsOf(scene, of))));
  for (const polygons of geometry.stands) paint(polygons, fill([{ ...LAND.stand, share: 1 }]));
  for (const polygons of geometry.keepClear) paint(polygons, fill([{ ...LAND.keep_clear, share: 1 }]));
  pen.lineWidth = 5;
  pen.stroke(outline(state.property.boundary, at));
  return canvas;
}

function outline(polygons, at) {
  const path = new Path2D();
  for (const ring of polygons.flat()) {
    ring.forEach((point, first) => (first === 0 ? path.moveTo(...at(point)) : path.lineTo(...at(point))));
    path.closePath();
  }
  return path;
}
