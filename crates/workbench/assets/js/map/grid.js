// Lines of equal easting and northing at round steps, and round lengths for the scale bar.
import { number } from '../words.js';
const { ol } = globalThis;

/** The largest of 1, 2 and 5 times a power of ten that is not above `length`. @param {number} length */
export function roundBelow(length) {
  const power = 10 ** Math.floor(Math.log10(length));
  return [5, 2, 1].map((times) => times * power).find((one) => one <= length) ?? power;
}

/** Lines of the grid over `extent`, metres. @param {number[]} extent */
export function gridLines([w, s, e, n]) {
  const step = Math.max(roundBelow((e - w) / 4), 1);
  const lines = [];
  for (let x = Math.ceil(w / step) * step; x < e; x += step) lines.push(line([x, n], [x, s], `E ${number(x)}`, true));
  for (let y = Math.ceil(s / step) * step; y < n; y += step) lines.push(line([w, y], [e, y], `N ${number(y)}`, false));
  return lines;
}

function line(from, to, words, down) {
  const feature = new ol.Feature({ geometry: new ol.geom.LineString([from, to]) });
  feature.set('words', words, true);
  feature.set('down', down, true);
  return feature;
}
