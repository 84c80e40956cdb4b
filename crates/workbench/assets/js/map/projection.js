// The plan's own coordinates, in metres, drawn as they are: nothing is reprojected.
const { ol } = globalThis;

let made = null;

/** The projection of the plan, the same for every map. @param {{crs: string, extent: number[]}} property */
export function projection(property) {
  made ??= new ol.proj.Projection({ code: `plan:${property.crs}`, units: 'm', extent: around(property.extent, 4) });
  return made;
}

/** `extent` with as much again beyond each side, `times` over. */
function around([w, s, e, n], times) {
  const [wide, high] = [(e - w) * times, (n - s) * times];
  return [w - wide, s - high, e + wide, n + high];
}
