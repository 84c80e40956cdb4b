// The name of the property, the grid of its plan, the height of its station.
import { field, h, put } from '../dom.js';
import { answers, layerFor } from './answers.js';

/** @param {HTMLElement} section @param {() => void} look */
export function startGround(section, look) {
  const body = h('div', { class: 'fields' });
  section.append(body);
  const input = (told, hear) => {
    const made = h('input', { ...told, oninput: () => { hear(made.value); look(); } });
    return made;
  };
  const metres = (value) => (value === '' ? null : Number(value));
  const name = input({ required: true }, (value) => { answers.name = value; });
  const crs = input({ list: 'systems' }, (value) => { answers.crs = value; });
  const cell = input({ type: 'number', min: 0, step: 'any' }, (value) => { answers.cell_m = metres(value); });
  const station = input({ type: 'number', step: 'any' }, (value) => { answers.station_elevation_m = metres(value); });
  const known = h('datalist', { id: 'systems' });

  return {
    show() {
      if (document.activeElement !== name) name.value = answers.name;
      const found = answers.folder.files.flatMap(({ holds }) => holds.layers ?? []);
      const systems = new Map(found.filter((one) => one.is_metric).map((one) => [one.crs_code, one.crs]));
      systems.set('EPSG:2193', 'EPSG:2193 (NZGD2000 / New Zealand Transverse Mercator 2000)');
      put(known, ...[...systems].filter(([code]) => code.length < 40).map(([code, words]) => h('option', { value: code }, words)));
      const elevation = layerFor('elevation');
      const layer = found.find((one) => one.file.endsWith(elevation?.file) && one.made_of !== 'polygons');
      put(body, known,
        field('Name of the property', name),
        field('Coordinate system of the plan', crs, layer && layer.crs && !layer.is_metric
          ? 'Elevation is not in metres of map: name a system that is, such as EPSG:2193.' : 'Left empty: that of the elevation layer.'),
        field('Side of a cell, m', cell, 'Left empty: that of the elevation layer.'),
        layerFor('climate') ? field('Height of the climate station, m above the sea', station, 'From the station’s own page.') : null);
    },
  };
}
