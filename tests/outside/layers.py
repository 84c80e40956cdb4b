"""Layers of a plan, read back by GDAL (pyogrio) and GEOS (shapely)."""

import numpy
import pyogrio
import shapely


class Layer:
    """One layer: polygons, columns by name, coordinate system."""

    def __init__(self, file, layer=None):
        meta, _, wkb, columns = pyogrio.raw.read(file, layer=layer)
        self.crs = meta["crs"]
        self.polygons = shapely.from_wkb(wkb)
        self.columns = dict(zip(meta["fields"], columns))

    def __len__(self):
        return len(self.polygons)

    def __contains__(self, column):
        return column in self.columns

    def __getitem__(self, column):
        return self.columns[column]

    @property
    def hectares(self):
        """Map area of each polygon."""
        return shapely.area(self.polygons) / 10_000


def read_plan(file):
    """The four layers of a plan."""
    there = {name for name, _ in pyogrio.list_layers(file)}
    wanted = ["zones", "blocks", "keep_clear", "stands"]
    missing = [name for name in wanted if name not in there]
    if missing:
        raise SystemExit(f"{file}: no layer {', '.join(missing)}; it has {', '.join(sorted(there))}")
    return {name: Layer(file, name) for name in wanted}


def tiles(plan):
    """All polygons that together must be the property, with a name for each."""
    parts = [("zones", "zone_id"), ("stands", "stand_id"), ("keep_clear", "keep_clear_id")]
    names = [name for layer, column in parts for name in plan[layer][column]]
    return numpy.array(names), numpy.concatenate([plan[layer].polygons for layer, _ in parts])
