#!/usr/bin/env python3
"""Ground area and slope of each zone by another route than the engine's.

    zonal.py PLAN.gpkg --slope slope_deg.tif [--elevation elevation_m.tif]
             [--area-tolerance 1e-4] [--slope-tolerance 0.01] [--elevation-tolerance 0.01]
    zonal.py --self-test

The slope raster is the one that `hillweave ground SITE` writes for the same site. Each cell counts by the
share of it that the polygon covers: whole cells by rasterio, border cells by intersecting them with the
polygon in GEOS (shapely). Ground area is the sum of map area / cos(slope). Cells that are holes are left
out. Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import os
import sys
import tempfile

import numpy
import pyogrio
import rasterio
import rasterio.features
import shapely

from findings import Findings, self_test
from layers import Layer


def shares(polygon, transform, shape):
    """Row, column and covered share of every cell that a polygon covers."""
    # A pixel more than GDAL burns for the outline, so that no partly covered cell counts as whole.
    border = rasterio.features.rasterize([polygon.boundary], out_shape=shape, transform=transform, all_touched=True)
    border = widened(border > 0)
    inside = rasterio.features.rasterize([polygon], out_shape=shape, transform=transform) > 0
    rows, cols = numpy.nonzero(inside & ~border)
    edge_rows, edge_cols = numpy.nonzero(border)
    cells = cell_boxes(edge_rows, edge_cols, transform)
    covered = shapely.area(shapely.intersection(cells, polygon)) / abs(transform.a * transform.e)
    some = covered > 0
    return (numpy.concatenate([rows, edge_rows[some]]), numpy.concatenate([cols, edge_cols[some]]),
            numpy.concatenate([numpy.ones(len(rows)), covered[some]]))


def widened(mask):
    """A mask and all eight neighbours of its cells."""
    padded = numpy.pad(mask, 1)
    rows, cols = mask.shape
    return numpy.logical_or.reduce([padded[r:r + rows, c:c + cols] for r in range(3) for c in range(3)])


def cell_boxes(rows, cols, transform):
    """Cells as polygons."""
    west, north = transform.c + cols * transform.a, transform.f + rows * transform.e
    return shapely.box(west, north + transform.e, west + transform.a, north)


def zone_window(raster, polygon):
    """The part of a raster around a polygon: cells with holes as NaN, and its transform."""
    west, south, east, north = polygon.bounds
    window = rasterio.windows.from_bounds(west, south, east, north, raster.transform)
    first_col, first_row = int(window.col_off) - 2, int(window.row_off) - 2
    cols, rows = int(window.width) + 5, int(window.height) + 5
    whole = rasterio.windows.Window(0, 0, raster.width, raster.height)
    window = rasterio.windows.Window(first_col, first_row, cols, rows).intersection(whole)
    cells = raster.read(1, window=window, masked=True).astype(float).filled(numpy.nan)
    return cells, raster.window_transform(window)


def statistics(polygon, raster, elevation=None):
    """Known map area and ground area (m2), mean and 90 % slope (degrees), mean elevation (m or None)."""
    slope, transform = zone_window(raster, polygon)
    rows, cols, share = shares(polygon, transform, slope.shape)
    values, area = slope[rows, cols], share * abs(transform.a * transform.e)
    known = ~numpy.isnan(values)
    heights = None
    if elevation is not None:
        heights = zone_window(elevation, polygon)[0][rows, cols]
        known &= ~numpy.isnan(heights)
        heights = float(numpy.average(heights[known], weights=area[known]))
    values, area = values[known], area[known]
    order = numpy.argsort(values)
    p90 = values[order][numpy.searchsorted(numpy.cumsum(area[order]), 0.9 * area.sum())]
    return dict(map_m2=float(area.sum()), ground_m2=float((area / numpy.cos(numpy.radians(values))).sum()),
                mean=float(numpy.average(values, weights=area)), p90=float(p90), elevation=heights)


def check(gpkg, slope, elevation=None, area_tolerance=1e-4, slope_tolerance=0.01, elevation_tolerance=0.01):
    """Every zone of a plan."""
    findings, zones = Findings(), Layer(gpkg, "zones")
    with rasterio.open(slope) as raster:
        heights = rasterio.open(elevation) if elevation else None
        same = heights is None or (heights.transform, heights.shape) == (raster.transform, raster.shape)
        findings.check("one grid", same, "elevation and slope are on different grids")
        for row, zone in enumerate(zones["zone_id"] if same else []):
            found = statistics(zones.polygons[row], raster, heights)
            polygon_m2 = zones.polygons[row].area
            findings.close("covered", found["map_m2"], polygon_m2, area_tolerance, item=f"{zone}, m2 with a slope")
            # Ground area of a zone goes by its polygon; cells without a slope take the mean of the others.
            ground_ha = found["ground_m2"] / found["map_m2"] * polygon_m2 / 1e4
            findings.close("ground_area_ha", zones["ground_area_ha"][row], ground_ha, area_tolerance, item=zone)
            findings.close("slope_mean_deg", zones["slope_mean_deg"][row], found["mean"], 0, slope_tolerance, zone)
            findings.close("slope_p90_deg", zones["slope_p90_deg"][row], found["p90"], 0, slope_tolerance, zone)
            if heights is not None:
                findings.close("elevation_mean_m", zones["elevation_mean_m"][row], found["elevation"], 0, elevation_tolerance, zone)
    return findings


def proved(change):
    """Findings about the faulty plan."""
    with tempfile.TemporaryDirectory() as folder:
        return check(**faulty(change, folder))


def faulty(change, folder):
    """A triangle on a grid whose slope is known by hand, with one thing changed.

    Cells of 10 m; the western five columns lie at 0 degrees, the others at 60 degrees (cos = 1/2). The triangle
    (0,0) (100,0) (0,100) has 5,000 m2: 3,750 m2 west of x = 50 and 1,250 m2 east of it. Ground area: 3,750 +
    2 x 1,250 = 6,250 m2; mean slope 15 degrees; 25 % of it is steep, so the 90 % slope is 60 degrees. Elevation
    is 100 m west and 300 m east: mean 150 m.
    """
    file = lambda name: os.path.join(folder, name)
    row = dict(ground_area_ha=0.625, slope_mean_deg=15.0, slope_p90_deg=60.0, elevation_mean_m=150.0)
    size, hole = 12, False
    if isinstance(change, dict):
        row.update(change)
    elif change == "hole":
        hole = True
    elif change == "other grid":
        size = 13
    triangle = shapely.MultiPolygon([shapely.Polygon([(0, 0), (100, 0), (0, 100)])])
    pyogrio.raw.write(file("plan.gpkg"), shapely.to_wkb([triangle]), [numpy.array(["Z001"], dtype=object)] + [numpy.array([value]) for value in row.values()],
                      ["zone_id", *row], layer="zones", driver="GPKG", crs="EPSG:2193", geometry_type="MultiPolygon")
    for name, low, high, side in [("slope.tif", 0.0, 60.0, 12), ("elevation.tif", 100.0, 300.0, size)]:
        cells = numpy.full((side, side), high, dtype="float32")
        cells[:, :6] = low  # the grid begins one column west of the triangle
        if hole and name == "slope.tif":
            cells[9, 2] = numpy.nan
        with rasterio.open(file(name), "w", driver="GTiff", width=side, height=side, count=1, dtype="float32", crs="EPSG:2193",
                           nodata=numpy.nan, transform=rasterio.transform.from_origin(-10, 110, 10, 10)) as raster:
            raster.write(cells, 1)
    return dict(gpkg=file("plan.gpkg"), slope=file("slope.tif"), elevation=file("elevation.tif"))


FAULTS = [
    (None, None),
    ("ground_area_ha", {"ground_area_ha": 0.6251}),
    ("slope_mean_deg", {"slope_mean_deg": 15.02}),
    ("slope_p90_deg", {"slope_p90_deg": 0.0}),
    ("elevation_mean_m", {"elevation_mean_m": 150.02}),
    ("covered", "hole"),
    ("one grid", "other grid"),
]


def main():
    """Checks, or proves itself."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gpkg", nargs="?")
    parser.add_argument("--slope")
    parser.add_argument("--elevation")
    parser.add_argument("--area-tolerance", type=float, default=1e-4)
    parser.add_argument("--slope-tolerance", type=float, default=0.01)
    parser.add_argument("--elevation-tolerance", type=float, default=0.01)
    parser.add_argument("--self-test", action="store_true")
    given = vars(parser.parse_args())
    if given.pop("self_test"):
        self_test(FAULTS, proved)
    if not given["gpkg"] or not given["slope"]:
        parser.error("PLAN.gpkg and --slope are needed")
    check(**given).finish()


if __name__ == "__main__":
    sys.exit(main())
