// The layers of one map, from the ground up, and what fills them.
import { keepClearFeatures, standFeatures, zoneFeatures } from './features.js';
import * as styles from './styles.js';
import { projection } from './projection.js';
import { LAND } from '../palette.js';
const { ol } = globalThis;

/** @typedef {{key: string, title: string, on: boolean, strength: number}} Shown how a layer is shown */

const vector = (options) => new ol.layer.Vector({ source: new ol.source.Vector(), ...options });
// Polygons are drawn once into a picture that a pan moves.
const picture = (options) => new ol.layer.VectorImage({ source: new ol.source.Vector(), imageRatio: 1.6, ...options });

/** Every layer of a map over `property`, by name. @param {() => object} sceneOf the plan that is shown */
export function layersOf(property, sceneOf, coverOf = () => null, isTarget = () => true) {
  const layers = {
    ground: new ol.layer.Image({ opacity: 1 }),
    mosaic: picture({ style: styles.mosaic(sceneOf), opacity: 0.85 }),
    stands: picture({ style: styles.stands, opacity: 0.9 }),
    keepClear: picture({ style: styles.keepClear, opacity: 0.9 }),
    cover: new ol.layer.Image({ visible: false }),
    pieces: vector({ style: styles.pieces(coverOf, isTarget), declutter: true, visible: false }),
    grid: vector({ style: styles.gridLine, visible: false }),
    boundary: vector({ style: styles.boundary }),
    cautioned: vector({ style: styles.cautioned, visible: false }),
    changed: vector({ style: styles.changed }),
    letters: vector({ style: styles.zoneLetters(sceneOf), declutter: true, updateWhileInteracting: false }),
    landLetters: vector({ style: letterOf, declutter: true }),
    drawn: vector({ style: styles.drawn }),
    trees: vector({ style: styles.tree, visible: false }),
    chosen: vector({ style: styles.chosen }),
    sketch: vector({ style: styles.sketch }),
  };
  const outline = new ol.Feature({ geometry: new ol.geom.MultiPolygon(property.boundary) });
  layers.boundary.getSource().addFeature(outline);
  return layers;
}

const landLetter = { keep_clear: styles.classLetter(LAND.keep_clear.letter), stand: styles.classLetter(LAND.stand.letter) };

function letterOf(feature) {
  return landLetter[feature.get('kind')](feature);
}

/** Puts the polygons of a plan into its layers. */
export function fillLayers(layers, scene, geometry) {
  const zones = zoneFeatures(scene, geometry);
  const keepClear = keepClearFeatures(scene, geometry);
  const stands = standFeatures(scene, geometry);
  refill(layers.mosaic, zones);
  refill(layers.keepClear, keepClear);
  refill(layers.stands, stands);
  layers.letters.setSource(layers.mosaic.getSource());
  const big = [...keepClear, ...stands].filter((one) => one.getGeometry().getArea() > 1500);
  refill(layers.landLetters, big);
}

/** Puts `features` into `layer` in the place of what it has. */
export function refill(layer, features) {
  layer.setSource(new ol.source.Vector({ features }));
}

/** Shows the picture at `url` over `extent`, or nothing. */
export function showPicture(layer, property, url, extent) {
  if (!url) {
    layer.setSource(null);
    return;
  }
  layer.setSource(new ol.source.ImageStatic({ url, imageExtent: extent, projection: projection(property), interpolate: false }));
}
