// How the plan is drawn on the map.
import { middle } from './features.js';
import { BORDER, coverBand, LAND } from '../palette.js';
import { fill, partsOf } from '../patterns.js';
const { ol } = globalThis;
const { Fill, Stroke, Style, Text, Circle } = ol.style;

const thin = new Stroke({ color: BORDER, width: 1 });
const halo = new Stroke({ color: '#ffffff', width: 4 });
const letters = 'bold 13px system-ui, sans-serif';

const areas = new Map();

/** Fill of a zone by what stands there. @param {() => object} sceneOf */
export function mosaic(sceneOf) {
  return (feature) => {
    const pattern = fill(partsOf(sceneOf(), feature.get('at')));
    if (!areas.has(pattern)) areas.set(pattern, new Style({ fill: new Fill({ color: pattern }), stroke: thin }));
    return areas.get(pattern);
  };
}

/** Letters of what stands in a zone, and its name when the map is near enough. @param {() => object} sceneOf */
export function zoneLetters(sceneOf) {
  return (feature, resolution) => {
    const told = partsOf(sceneOf(), feature.get('at')).map((part) => part.letter).join(' ');
    return new Style({
      geometry: middle,
      text: new Text({
        text: resolution < 1.2 ? `${feature.get('id')}\n${told}` : told,
        font: letters,
        fill: new Fill({ color: '#111111' }),
        stroke: halo,
      }),
    });
  };
}

/** Fill of a class that is one for the whole layer. */
function ofClass(one) {
  let style = null;
  return () => (style ??= new Style({ fill: new Fill({ color: fill([{ ...one, share: 1 }]) }), stroke: thin }));
}

export const keepClear = ofClass(LAND.keep_clear);
export const stands = ofClass(LAND.stand);

/** A letter on every feature of a class. */
export function classLetter(letter) {
  return (feature) => new Style({
    geometry: middle,
    text: new Text({ text: letter, font: letters, fill: new Fill({ color: '#111111' }), stroke: halo }),
  });
}

/** The boundary of the property. */
export const boundary = [
  new Style({ stroke: new Stroke({ color: '#ffffff', width: 6 }) }),
  new Style({ stroke: new Stroke({ color: BORDER, width: 2.5, lineDash: [14, 4, 3, 4] }) }),
];

/** What is chosen. */
export const chosen = [
  new Style({ stroke: new Stroke({ color: '#ffffff', width: 8 }) }),
  new Style({ stroke: new Stroke({ color: '#000000', width: 4 }) }),
];

/** One of many that are chosen together. */
export const chosenTogether = [
  new Style({ stroke: new Stroke({ color: '#ffffff', width: 4.5 }) }),
  new Style({ stroke: new Stroke({ color: '#000000', width: 2 }) }),
];

/** Zones that the last change changed. */
export const changed = [
  new Style({ stroke: new Stroke({ color: '#ffffff', width: 4.5 }) }),
  new Style({ stroke: new Stroke({ color: '#8B4137', width: 2.5, lineDash: [8, 5] }) }),
];

/** Zones that a caution speaks of. */
export const cautioned = new Style({ stroke: new Stroke({ color: '#5D292E', width: 2.5, lineDash: [2, 5] }) });

/**
 * Pieces of ground below the target of cover: outlines, filled by their band in the target year.
 *
 * @param {() => object} coverOf
 * @param {() => boolean} isTarget whether the year shown is that of the target
 */
export function pieces(coverOf, isTarget) {
  return (feature) => {
    const { pieces: table } = coverOf();
    const at = table.columns.findIndex((column) => column.name === 'protected_then');
    const band = coverBand(table.rows[feature.get('at')][at]);
    const filled = isTarget() ? new Fill({ color: fill([{ ...band, share: 1 }]) }) : undefined;
    return [
      new Style({ stroke: new Stroke({ color: '#ffffff', width: 4 }) }),
      new Style({ fill: filled, stroke: new Stroke({ color: BORDER, width: 2 }) }),
      classLetter(band.letter)(feature),
    ];
  };
}

/** A tree to sample. */
export const tree = new Style({
  image: new Circle({ radius: 6, fill: new Fill({ color: '#FEC887' }), stroke: new Stroke({ color: '#000000', width: 2 }) }),
});

/** What was drawn by hand, by kind. */
export function drawn(feature) {
  const dash = { break: [12, 5], zone: undefined, keep_clear: [4, 4] }[feature.get('what')];
  return [
    new Style({ stroke: new Stroke({ color: '#ffffff', width: 6 }) }),
    new Style({
      stroke: new Stroke({ color: '#7B269D', width: 3, lineDash: dash }),
      text: new Text({ text: feature.get('name'), font: letters, overflow: true, fill: new Fill({ color: '#111111' }), stroke: halo }),
    }),
  ];
}

/** What is being drawn. */
export const sketch = [
  new Style({ stroke: new Stroke({ color: '#ffffff', width: 6 }) }),
  new Style({
    stroke: new Stroke({ color: '#7B269D', width: 3 }),
    fill: new Fill({ color: 'rgba(123, 38, 157, 0.15)' }),
    image: new Circle({ radius: 6, fill: new Fill({ color: '#7B269D' }), stroke: new Stroke({ color: '#ffffff', width: 2 }) }),
  }),
];

/** Lines of the grid of coordinates. */
export function gridLine(feature) {
  return [new Style({ stroke: new Stroke({ color: 'rgba(0, 0, 0, 0.45)', width: 1 }) }), new Style({
    geometry: (line) => new ol.geom.Point(line.getGeometry().getFirstCoordinate()),
    text: new Text({
      text: feature.get('words'),
      textAlign: 'left',
      textBaseline: feature.get('down') ? 'top' : 'bottom',
      offsetX: 3,
      offsetY: feature.get('down') ? 3 : -2,
      font: '12px system-ui, sans-serif',
      fill: new Fill({ color: '#111111' }),
      stroke: new Stroke({ color: '#ffffff', width: 3 }),
    }),
  })];
}
