// Colours, letters and patterns of ground, the same as in every file of a plan (styles/README.md). Lines of stock come
// with their look from the program; what is here is what never changes.

/** @typedef {{key: string, label: string, letter: string, colour: string, pattern: string}} Class */

/** Ink of borders and words on the map. */
export const BORDER = '#222222';

const classed = (key, label, letter, colour, pattern) => ({ key, label, letter, colour, pattern });

/** @type {Record<string, Class>} */
export const LAND = {
  stand: classed('stand', 'native stand, kept', 's', '#12351F', 'dotted'),
  keepClear: classed('keep_clear', 'kept clear', 'k', '#E4E2DC', 'falling'),
  left: classed('left', 'left to regenerate', 'r', '#FFFFFF', 'plain'),
};

/** Shares of ground protected, from below. @type {Class[]} */
export const COVER_BANDS = [
  classed('1', 'under 20 % protected', '1', '#FDEFDE', 'falling'),
  classed('2', '20 to 40 %', '2', '#A2C9B8', 'plain'),
  classed('3', '40 to 60 %', '3', '#569F9B', 'level'),
  classed('4', '60 to 80 %', '4', '#0B7683', 'rising'),
  classed('5', '80 % and more', '5', '#004D6C', 'plain'),
];

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
