// The map of the present plan: it follows the state, and a click on it chooses.
import { announce } from '../announce.js';
import { h, svg } from '../dom.js';
import { choose, on, state } from '../store.js';
import { features, placeFeatures } from './features.js';
import { coordinates, quiet, scaleBar, zoomButtons } from './furniture.js';
import { gridLines } from './grid.js';
import { interactions } from './interactions.js';
import { fillLayers, layersOf, refill, showPicture } from './layers.js';
import { projection } from './projection.js';
import { inWords } from './spoken.js';
import { chosen as chosenAlone, chosenTogether } from './styles.js';
const { ol } = globalThis;

const LEAST_SIDE = 100; // CSS pixels of a map on which a whole property can be seen

/** The view that every map of the page shares, so that they move as one. */
export function viewOf(property) {
  const [w, s, e, n] = property.extent;
  return new ol.View({
    projection: projection(property),
    center: [(w + e) / 2, (s + n) / 2],
    resolution: Math.max(e - w, n - s) / 500,
    minResolution: 0.05,
    maxResolution: Math.max(e - w, n - s) / 100,
    enableRotation: false,
  });
}

/** Sees the whole property. */
export function wholeProperty(view, property, map) {
  view.fit(property.extent, { size: map?.getSize(), padding: [24, 24, 40, 56] });
}

/**
 * The main map in `box`.
 *
 * @param {HTMLElement} box
 * @param {ol.View} view
 */
export function mainMap(box, view) {
  const { property } = state;
  const layers = layersOf(property, () => state.scene, () => state.cover, () => state.coverYear === state.cover?.by_years);
  const target = h('div', { id: 'map', class: 'map', tabindex: 0, role: 'application', 'aria-label': 'Map of the plan', 'aria-describedby': 'map-keys' });
  const keys = h('p', { id: 'map-keys', class: 'told' },
    'Arrow keys move the map, plus and minus come nearer and go farther, N and P go to the next and the previous zone, Home sees the whole property, Escape leaves the choice. The tables below hold the same.');
  const cross = crosshair();
  box.append(target, keys, cross);
  const map = new ol.Map({ target, view, layers: Object.values(layers), controls: [], interactions: interactions(target), keyboardEventTarget: target, moveTolerance: 3 });
  let seenWhole = null; // where the view stands while it sees the whole property
  const whole = () => {
    wholeProperty(view, property, map);
    seenWhole = [view.getCenter(), view.getResolution()].join();
  };
  // A map that becomes smaller still sees the whole property where it did; one that is not shown has no say.
  map.on('change:size', () => {
    const isShown = map.getSize()?.every((side) => side > LEAST_SIDE);
    if (isShown && [view.getCenter(), view.getResolution()].join() === seenWhole) whole();
  });
  box.append(
    zoomButtons(view, whole),
    h('div', { class: 'readout' }, scaleBar(view), coordinates(map, property.crs)));
  whole();

  let shownGeometry = null;
  let shownLines = null;
  const follow = (scene) => {
    if (state.geometry !== shownGeometry) {
      fillLayers(layers, scene, state.geometry);
      shownGeometry = state.geometry;
    } else if (scene.zones !== shownLines) {
      layers.mosaic.changed();
      layers.letters.changed();
    }
    shownLines = scene.zones;
    refill(layers.drawn, scene.drawn.map(drawnFeature));
    showChoice(state.chosen);
  };
  const showChoice = (chosen) => {
    layers.chosen.setStyle(chosen?.kind === 'line' ? chosenTogether : chosenAlone);
    refill(layers.chosen, outlines(layers, chosen));
  };
  on('scene', follow);
  on('did', (did) => refill(layers.changed, zonesNamed(layers, did?.zones_changed ?? [])));
  on('chosen', (chosen) => {
    showChoice(chosen);
    if (chosen) bringIntoView(view, map, layers.chosen.getSource());
  });
  on('cover', (cover) => {
    refill(layers.pieces, cover ? features(cover.pieces, cover.pieces.geometry, 'piece') : []);
  });
  on('trees', (trees) => {
    layers.trees.setVisible(trees !== null);
    refill(layers.trees, trees ? placeFeatures(trees, trees.at, 'tree') : []);
  });
  on('coverYear', () => layers.pieces.changed());
  const drawGrid = () => {
    if (layers.grid.getVisible() && map.getSize()) refill(layers.grid, gridLines(view.calculateExtent(map.getSize())));
  };
  map.on('moveend', drawGrid);
  layers.grid.on('change:visible', drawGrid);
  map.on('singleclick', (event) => { if (!drawing(map)) chooseAt(event.coordinate, layers, view.getResolution()); });
  target.addEventListener('keydown', (event) => keyed(event, whole));
  if (state.scene) follow(state.scene);
  return { map, layers, cross, view, whole };
}

/** Whether something is being drawn with the pointer. */
function drawing(map) {
  return map.getInteractions().getArray().some((one) => one instanceof ol.interaction.Draw && one.getActive());
}

function crosshair() {
  const lines = 'M14 2v9M14 17v9M2 14h9M17 14h9';
  return svg('svg', { class: 'cross', viewBox: '0 0 28 28', 'aria-hidden': 'true' },
    svg('path', { class: 'halo', d: lines }), svg('path', { d: lines }));
}

function drawnFeature({ what, name, geometry }) {
  const feature = new ol.Feature(new ol.format.GeoJSON().readGeometry(geometry));
  feature.set('what', what, true);
  feature.set('name', name, true);
  return feature;
}

/** Copies of zone features, for outlines. */
export function zonesNamed(layers, names) {
  const source = layers.mosaic.getSource();
  return names.map((name) => source.getFeatureById(`zone:${name}`)).filter(Boolean).map((one) => new ol.Feature(one.getGeometry()));
}

function outlines(layers, chosen) {
  if (!chosen) return [];
  if (chosen.kind === 'line') {
    const { zones, lines } = state.scene;
    const names = zones.rows.filter((_, at) => zones.lines[at].some((part) => lines[part.line].stock_id === chosen.id));
    return zonesNamed(layers, names.map((row) => row[0]));
  }
  const layer = { zone: layers.mosaic, keep_clear: layers.keepClear, stand: layers.stands, piece: layers.pieces, tree: layers.trees }[chosen.kind];
  const found = layer?.getSource().getFeatureById(`${chosen.kind}:${chosen.id}`);
  return found ? [new ol.Feature(found.getGeometry())] : [];
}

/** Moves the view only when what is chosen is out of sight or too small to see. */
function bringIntoView(view, map, source) {
  const extent = source.getExtent();
  if (!extent || !Number.isFinite(extent[0]) || !map.getSize()) return;
  const seen = view.calculateExtent(map.getSize());
  const small = (extent[2] - extent[0]) / view.getResolution() < 14;
  if (ol.extent.containsExtent(seen, extent) && !small) return;
  view.fit(extent, { size: map.getSize(), padding: [70, 70, 70, 70], minResolution: 0.8, duration: quiet() ? 0 : 200 });
}

/** Pixels from a tree within which a click means it. */
const NEAR = 8;

/**
 * Chooses what lies at a place: a tree to sample or a piece below its cover where they are shown, else a zone, then a
 * stand, then ground kept clear.
 */
function chooseAt(place, layers, resolution) {
  const tree = layers.trees.getVisible() ? layers.trees.getSource().getClosestFeatureToCoordinate(place) : null;
  const away = tree ? Math.hypot(...tree.getGeometry().getCoordinates().map((at, axis) => at - place[axis])) : Infinity;
  const near = away <= NEAR * resolution ? [tree] : [];
  for (const layer of [null, layers.pieces, layers.mosaic, layers.stands, layers.keepClear]) {
    const [found] = layer === null ? near : layer.getVisible() ? layer.getSource().getFeaturesAtCoordinate(place) : [];
    if (found) {
      choose({ kind: found.get('kind'), id: found.get('id') });
      announce(inWords(state.scene, state.chosen));
      return;
    }
  }
  choose(null);
}

function keyed(event, whole) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const step = { n: 1, N: 1, p: -1, P: -1 }[event.key];
  if (step) stepZone(step);
  else if (event.key === 'Home') whole();
  else if (event.key === 'Escape') choose(null);
  else return;
  event.preventDefault();
}

/** Chooses the next zone, or the one before. @param {1|-1} step */
export function stepZone(step) {
  const { rows } = state.scene.zones;
  if (rows.length === 0) return;
  const at = state.chosen?.kind === 'zone' ? rows.findIndex((row) => row[0] === state.chosen.id) : -1;
  const next = at < 0 ? (step > 0 ? 0 : rows.length - 1) : (at + step + rows.length) % rows.length;
  choose({ kind: 'zone', id: rows[next][0] });
  announce(inWords(state.scene, state.chosen));
}

/** Shows the raster `one` beneath the plan, or nothing. */
export function showGround(layers, one) {
  showPicture(layers.ground, state.property, one ? `/api/raster/${one.id}.png?of=${state.property.of}` : null, one?.extent);
}
