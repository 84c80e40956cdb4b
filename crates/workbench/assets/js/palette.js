// How things are drawn. Classes come from the palette of the program (classes.js, which it makes), lines of stock with
// their plan.
import { COVER_BANDS } from './classes.js';

export { BORDER, COVER_BANDS, LAND } from './classes.js';

/** @typedef {{key: string, label: string, letter: string, colour: string, pattern: string}} Class */

/** The band that a share of ground protected lies in. @param {number|null} share */
export function coverBand(share) {
  return COVER_BANDS[[0.2, 0.4, 0.6, 0.8].filter((edge) => (share ?? 0) >= edge).length];
}

/** How a line looks that is planted nowhere and so has no colour: paper, with its letter. */
const UNPLANTED = { colour: '#FFFFFF', pattern: 'plain' };

/** Look of a line as the program tells it. @param {{colour: string|null, pattern?: string|null, letter: string}} line */
export function lookOf({ colour, pattern, letter }) {
  return colour ? { colour, pattern: pattern ?? 'plain', letter } : { ...UNPLANTED, letter };
}

/** Black or white: the one that is read better on `colour`. @param {string} colour */
export function inkOn(colour) {
  const light = luminance(colour);
  return (light + 0.05) / 0.05 >= 1.05 / (light + 0.05) ? '#000000' : '#FFFFFF';
}

/** Colour of a class's pattern: its ink, drawn back so that the ground still shows. @param {string} colour */
export function hatchOn(colour) {
  const [ink, ground] = [channels(inkOn(colour)), channels(colour)];
  const part = (at) => Math.floor((ink[at] * 3 + ground[at] * 2) / 5);
  return `rgb(${part(0)}, ${part(1)}, ${part(2)})`;
}

/** Relative luminance (WCAG 2.2, from its definition). */
function luminance(colour) {
  const [r, g, b] = channels(colour).map((of) => {
    const share = of / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function channels(colour) {
  return [1, 3, 5].map((at) => Number.parseInt(colour.slice(at, at + 2), 16));
}
