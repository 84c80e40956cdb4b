// Polygons of the plan as features, made anew only when polygons change.
const { ol } = globalThis;

/** Features of zones: each knows its place in the table and its name. */
export function zoneFeatures(scene, geometry) {
  return features(scene.zones, geometry.zones, 'zone');
}

/** Features of ground kept clear. */
export function keepClearFeatures(scene, geometry) {
  return features(scene.keep_clear, geometry.keepClear, 'keep_clear');
}

/** Features of native stands. */
export function standFeatures(scene, geometry) {
  return features(scene.stands, geometry.stands, 'stand');
}

/** Rows of any table with polygons: the first column names the row. */
export function features(table, polygons, kind) {
  return table.rows.map((row, at) => {
    const feature = new ol.Feature({ geometry: new ol.geom.MultiPolygon(polygons[at]) });
    feature.setId(`${kind}:${row[0]}`);
    feature.set('at', at, true);
    feature.set('kind', kind, true);
    feature.set('id', row[0], true);
    return feature;
  });
}

/** Rows of any table with places: the first column names the row. */
export function placeFeatures(table, places, kind) {
  return table.rows.map((row, at) => {
    const feature = new ol.Feature({ geometry: new ol.geom.Point(places[at]) });
    feature.setId(`${kind}:${row[0]}`);
    feature.set('kind', kind, true);
    feature.set('id', row[0], true);
    return feature;
  });
}

/** Where letters stand: inside the widest part of a feature. Reckoned once. */
export function middle(feature) {
  let point = feature.get('middle');
  if (!point) {
    point = widest(feature.getGeometry());
    feature.set('middle', point, true);
  }
  return point;
}

function widest(area) {
  const inside = area.getInteriorPoints().getCoordinates();
  // The third number of an interior point is the width of the ground there.
  const best = inside.reduce((one, other) => (other[2] > one[2] ? other : one));
  return new ol.geom.Point([best[0], best[1]]);
}
