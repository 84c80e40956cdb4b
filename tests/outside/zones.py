#!/usr/bin/env python3
"""Planting zones by libraries that had no part in drawing them.

    zones.py PLAN.gpkg --plan plan.json --slope slope_deg.tif --wetness wetness_index.tif --sun sun_ratio.tif
             [--elevation elevation_m.tif] [--groups slope_group.tif --boundary FILE [--layer NAME]]
    zones.py --self-test

- Means and extremes over each zone by exactextract (Baston: exact coverage of each cell), to 1e-6.
- Largest inscribed circle by GEOS, to 0.15 m or 1.2 %; area and border length by GEOS.
- With --groups, for a site whose zones go by slope group alone and which has neither cover nor setbacks: the
  pieces of one group, by scipy.ndimage.label over the cells of which the boundary covers at least half.

The rasters are those that `hillweave ground SITE` writes for the same site. Prints JSON; exits 0 when all holds,
1 otherwise.
"""

import argparse
import json
import os
import sys
import tempfile

import exactextract
import numpy
import pyogrio
import rasterio
import scipy.ndimage
import shapely

from findings import Findings, self_test
from layers import Layer

MEANS = {"slope": "slope_mean_deg", "wetness": "wetness_mean", "sun": "sun_ratio_mean", "elevation": "elevation_mean_m"}


def extracted(raster, polygons, operations):
    """One dict a polygon."""
    features = [{"type": "Feature", "properties": {}, "geometry": json.loads(shapely.to_geojson(one))} for one in polygons]
    return [row["properties"] for row in exactextract.exact_extract(raster, features, operations)]


def check_statistics(findings, zones, layer, raster):
    """Mean of one layer; for elevation its extremes too."""
    operations = ["mean", "values", "coverage"] if layer == "elevation" else ["mean"]
    with rasterio.open(raster) as source:
        rows = extracted(source, zones.polygons, operations)
    for row, found in enumerate(rows):
        zone = zones["zone_id"][row]
        findings.close(MEANS[layer], zones[MEANS[layer]][row], found["mean"], 1e-6, item=zone)
        if layer == "elevation":
            # Corners of zones lie on the sides of cells: of a cell that is merely touched, rounding may cover a hair.
            any_, sure = found["values"], found["values"][found["coverage"] > 1e-6]
            low, high = zones["elevation_min_m"][row], zones["elevation_max_m"][row]
            findings.check("elevation_min_m", any_.min() <= low <= sure.min(), f"{zone}: {low}, expected {sure.min()}")
            findings.check("elevation_max_m", sure.max() <= high <= any_.max(), f"{zone}: {high}, expected {sure.max()}")


def check_shapes(findings, zones):
    """Widths of every zone."""
    for row, polygon in enumerate(zones.polygons):
        zone = zones["zone_id"][row]
        parts = list(getattr(polygon, "geoms", [polygon]))
        widest = max(2 * shapely.maximum_inscribed_circle(part, tolerance=0.01).length for part in parts)
        findings.close("widest_m", zones["widest_m"][row], widest, 0.012, 0.15, zone)
        # The rectangle of such a width has the zone's area and border: w (P / 2 - w) = A.
        sums = [0.0, 0.0]
        for part in parts:
            half, area = part.length / 2, part.area
            rest = (half / 2) ** 2 - area
            width = half / 2 - rest ** 0.5 if rest > 0 else area ** 0.5
            sums = [sums[0] + area * width, sums[1] + area]
        findings.close("mean_width_m", zones["mean_width_m"][row], sums[0] / sums[1], 1e-6, 1e-6, zone)


def check_regions(findings, plan, groups, boundary):
    """How many pieces of one class there were before merging."""
    with rasterio.open(groups) as source:
        codes, transform = source.read(1, masked=True).filled(0), source.transform
        cells = extracted(source, boundary, ["cell_id", "coverage"])
    inside = numpy.zeros(codes.size, bool)
    for one in cells:
        inside[one["cell_id"][one["coverage"] >= 0.5]] = True
    codes = numpy.where(inside.reshape(codes.shape), codes, 0)
    count = sum(scipy.ndimage.label(codes == code)[1] for code in numpy.unique(codes[codes > 0]))
    findings.check("regions", plan["merging"]["regions"] == count, f"{plan['merging']['regions']}, expected {count}")
    cell_ha = abs(transform.a * transform.e) / 1e4
    for row, letter in zip(plan["merging"]["by_slope_group"], "ABCDEFG"):
        expected = float((codes == ord(letter) - ord("A") + 1).sum()) * cell_ha
        findings.close("cells_plan_ha", row["cells_plan_ha"], expected, item=letter)


def check(gpkg, plan, groups=None, boundary=None, layer=None, **rasters):
    """Everything for which there is a file."""
    findings, zones = Findings(), Layer(gpkg, "zones")
    with open(plan, encoding="utf-8") as file:
        plan = json.load(file)
    for name in MEANS:
        if rasters.get(name):
            check_statistics(findings, zones, name, rasters[name])
    check_shapes(findings, zones)
    if groups:
        check_regions(findings, plan, groups, Layer(boundary, layer).polygons)
    return findings


def proved(change):
    """Findings about the faulty plan."""
    with tempfile.TemporaryDirectory() as folder:
        return check(**faulty(change or {}, folder))


def faulty(change, folder):
    """One zone of 100 m by 60 m on cells of 10 m, known by hand, with some figures changed.

    The western half lies at 0 degrees and 100 m, the eastern one at 60 degrees and 300 m: 0.3 ha of slope group A
    and as much of G, in two pieces.
    """
    file = lambda name: os.path.join(folder, name)
    row = dict(slope_mean_deg=30.0, wetness_mean=6.0, sun_ratio_mean=0.75, elevation_min_m=100.0, elevation_mean_m=200.0,
               elevation_max_m=300.0, widest_m=60.0, mean_width_m=60.0)
    row.update({name: value for name, value in change.items() if name in row})
    rectangle = shapely.MultiPolygon([shapely.box(0, 0, 100, 60)])
    pyogrio.raw.write(file("plan.gpkg"), shapely.to_wkb([rectangle]),
                      [numpy.array(["Z001"], dtype=object)] + [numpy.array([value]) for value in row.values()],
                      ["zone_id", *row], layer="zones", driver="GPKG", crs="EPSG:2193", geometry_type="MultiPolygon")
    rasters = [("slope", 0, 60), ("wetness", 4, 8), ("sun", 0.5, 1), ("elevation", 100, 300), ("groups", 1, 7)]
    for name, low, high in rasters:
        cells = numpy.full((12, 12), high, dtype="float32")
        cells[:, :6] = low  # the grid begins one column west of the zone
        with rasterio.open(file(name), "w", driver="GTiff", width=12, height=12, count=1, dtype="float32", crs="EPSG:2193",
                           transform=rasterio.transform.from_origin(-10, 110, 10, 10)) as raster:
            raster.write(cells, 1)
    groups = [{"slope_group": letter, "cells_plan_ha": 0.3 if letter in "AG" else 0.0} for letter in "ABCDEFG"]
    groups[6]["cells_plan_ha"] = change.get("cells_plan_ha", 0.3)
    with open(file("plan.json"), "w", encoding="utf-8") as plan:
        json.dump({"merging": {"regions": change.get("regions", 2), "by_slope_group": groups}}, plan)
    return dict(gpkg=file("plan.gpkg"), plan=file("plan.json"), boundary=file("plan.gpkg"), layer="zones",
                **{name: file(name) for name, _, _ in rasters})


FAULTS = [
    (None, None),
    ("slope_mean_deg", {"slope_mean_deg": 30.001}),
    ("wetness_mean", {"wetness_mean": 6.001}),
    ("sun_ratio_mean", {"sun_ratio_mean": 0.7501}),
    ("elevation_mean_m", {"elevation_mean_m": 200.01}),
    ("elevation_min_m", {"elevation_min_m": 101.0}),
    ("elevation_max_m", {"elevation_max_m": 299.0}),
    ("widest_m", {"widest_m": 59.0}),
    ("mean_width_m", {"mean_width_m": 60.1}),
    ("regions", {"regions": 3}),
    ("cells_plan_ha", {"cells_plan_ha": 0.31}),
]


def main():
    """Checks, or proves itself."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gpkg", nargs="?")
    for option in ["plan", *MEANS, "groups", "boundary", "layer"]:
        parser.add_argument(f"--{option}")
    parser.add_argument("--self-test", action="store_true")
    given = vars(parser.parse_args())
    if given.pop("self_test"):
        self_test(FAULTS, proved)
    if not given["gpkg"] or not given["plan"]:
        parser.error("PLAN.gpkg and --plan are needed")
    check(**given).finish()


if __name__ == "__main__":
    sys.exit(main())
