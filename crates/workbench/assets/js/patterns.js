// Patterns drawn on canvas: of the map, of legends, of the hill.
import { hatchOn, inkOn, LAND, lookOf } from './palette.js';
import { h } from './dom.js';

const TILE = 16; // CSS pixels; patterns meet at the edges of a tile of this side
const families = {
  plain: [],
  rising: ['rising'],
  falling: ['falling'],
  level: ['level'],
  upright: ['upright'],
  squared: ['level', 'upright'],
  crossed: ['rising', 'falling'],
  dotted: ['dots'],
  dense: ['dense'],
};

/** @typedef {{colour: string, pattern: string, share: number}} Part of a mixture */

/** A canvas that repeats without a seam: stripes of each part, as wide as its share, under its pattern. */
export function tile(parts) {
  const side = parts.length === 1 ? TILE : TILE * 3;
  const canvas = document.createElement('canvas');
  canvas.width = side;
  canvas.height = side;
  const ink = canvas.getContext('2d');
  let from = 0;
  for (const [at, part] of parts.entries()) {
    const to = at === parts.length - 1 ? side : Math.round(from + side * part.share);
    ink.save();
    ink.beginPath();
    ink.rect(from, 0, to - from, side);
    ink.clip();
    ink.fillStyle = part.colour;
    ink.fillRect(from, 0, to - from, side);
    hatch(ink, part.pattern, hatchOn(part.colour), side);
    ink.restore();
    from = to;
  }
  return canvas;
}

function hatch(ink, pattern, colour, side) {
  ink.strokeStyle = colour;
  ink.fillStyle = colour;
  ink.lineWidth = 1;
  for (const family of families[pattern] ?? []) {
    if (family === 'dots') dots(ink, side);
    else strokes(ink, family, side);
  }
}

function dots(ink, side) {
  for (let x = TILE / 4; x < side; x += TILE / 2) {
    for (let y = TILE / 4; y < side; y += TILE / 2) {
      ink.beginPath();
      ink.arc(x, y, 1.4, 0, 2 * Math.PI);
      ink.fill();
    }
  }
}

function strokes(ink, family, side) {
  const apart = family === 'dense' ? TILE / 4 : TILE / 2;
  ink.beginPath();
  for (let at = -side; at <= side * 2; at += apart) {
    if (family === 'level') line(ink, 0, at + 0.5, side, at + 0.5);
    else if (family === 'upright') line(ink, at + 0.5, 0, at + 0.5, side);
    else if (family === 'falling') line(ink, at, 0, at + side, side);
    else line(ink, at, side, at + side, 0);
  }
  ink.stroke();
}

function line(ink, x, y, toX, toY) {
  ink.moveTo(x, y);
  ink.lineTo(toX, toY);
}

const fills = new Map();

/** A fill of canvas for a mixture; each is made once. @param {Part[]} parts @returns {CanvasPattern} */
export function fill(parts) {
  const key = parts.map((part) => `${part.colour}${part.pattern}${part.share.toFixed(2)}`).join();
  if (!fills.has(key)) {
    const canvas = tile(parts);
    fills.set(key, canvas.getContext('2d').createPattern(canvas, 'repeat'));
  }
  return fills.get(key);
}

/** What stands in a zone, as parts of a mixture, the largest first; what is left comes last. */
export function partsOf(scene, at) {
  const planted = [...scene.zones.lines[at]].sort((a, b) => b.share - a.share).map(({ line: of, share }) => {
    return { ...lookOf(scene.lines[of]), share };
  });
  const left = scene.zones.left[at] ?? 0;
  const parts = left > 0.005 || planted.length === 0 ? [...planted, { ...LAND.left, share: planted.length ? left : 1 }] : planted;
  const all = parts.reduce((sum, part) => sum + part.share, 0);
  return parts.map((part) => ({ ...part, share: part.share / all }));
}

/** A small picture of a class, with its letter. For the eye alone: its words stand beside it. */
export function swatch({ colour, pattern, letter }) {
  const canvas = h('canvas', { class: 'swatch', width: 32, height: 22, 'aria-hidden': 'true' });
  const pen = canvas.getContext('2d');
  pen.fillStyle = fill([{ colour, pattern, share: 1 }]);
  pen.fillRect(0, 0, 32, 22);
  if (letter) {
    pen.font = 'bold 13px system-ui, sans-serif';
    pen.textAlign = 'center';
    pen.textBaseline = 'middle';
    pen.fillStyle = colour;
    pen.fillRect(8, 3, 16, 16);
    pen.fillStyle = inkOn(colour);
    pen.fillText(letter, 16, 12);
  }
  return canvas;
}
