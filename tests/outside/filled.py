#!/usr/bin/env python3
"""A surface with its hollows filled, by another route than the engine's.

    filled.py ELEVATION.tif FILLED.tif
    filled.py --self-test

Filling is morphological reconstruction by erosion (Vincent 1993, Morphological grayscale reconstruction in
image analysis; Soille & Gratin 1994, An efficient algorithm for drainage network extraction on DEMs), done by
scikit-image with eight neighbours: water stands everywhere as high as the highest ground and sinks to what
the ground holds back, from the edge of the raster and from holes. The two must be equal to the last bit.
Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import os
import sys
import tempfile

import numpy
import rasterio
from skimage.morphology import reconstruction

from findings import Findings, self_test


def reconstructed(elevation):
    """The filled surface; holes are NaN before and after."""
    known = numpy.isfinite(elevation)
    # Holes and a ring around the raster lie below everything, so that water leaves there.
    deep, high = elevation[known].min() - 1, elevation[known].max()
    ground = numpy.pad(numpy.where(known, elevation, deep), 1, constant_values=deep)
    water = numpy.where(ground == deep, deep, high)
    filled = reconstruction(water, ground, method="erosion", footprint=numpy.ones((3, 3)))[1:-1, 1:-1]
    return numpy.where(known, filled, numpy.nan).astype(elevation.dtype)


def cells(path):
    """Band 1 in 64-bit floats, which hold any 32-bit one, holes as NaN; and its grid."""
    with rasterio.open(path) as raster:
        return raster.read(1, masked=True).astype(float).filled(numpy.nan), (raster.transform, raster.shape)


def check(elevation, filled):
    """Every cell of a raster."""
    findings = Findings()
    (ground, grid), (found, found_grid) = cells(elevation), cells(filled)
    findings.check("one grid", grid == found_grid, "the rasters are on different grids")
    if grid != found_grid or not numpy.isfinite(ground).any():
        return findings
    expected = reconstructed(ground)
    known = ~numpy.isnan(expected)
    findings.check("holes", numpy.array_equal(known, ~numpy.isnan(found)), "holes are not the same")
    wrong = known & (found != expected)
    places = [f"row {row} column {col}: {found[row, col]!r}, expected {expected[row, col]!r}"
              for row, col in numpy.argwhere(wrong)[:5]]
    findings.check("filled", not wrong.any(), f"{wrong.sum()} cells; {'; '.join(places)}")
    return findings


def proved(change):
    """Findings about the faulty surface."""
    with tempfile.TemporaryDirectory() as folder:
        return check(**faulty(change, folder))


def faulty(change, folder):
    """Two bowls known by hand, with one thing changed.

    A plain at 9 m. The western bowl is at 1 m and drains over a cell of 7 m at the northern edge, so it fills
    to 7 m; the eastern bowl, at 2 m, has a hole of the data beside it and keeps its level.
    """
    ground = numpy.full((5, 9), 9, dtype="float32")
    ground[2:4, 1:4], ground[1, 2], ground[0, 2] = 1, 7, 7
    ground[2, 6], ground[2, 7] = 2, numpy.nan
    filled = ground.copy()
    filled[2:4, 1:4] = 7
    if change in ("low", "high"):
        filled[3, 2] = numpy.nextafter(numpy.float32(7), numpy.float32(0 if change == "low" else 9))
    elif change == "hole":
        filled[2, 7] = 9
    elif change == "other grid":
        filled = filled[:-1]
    paths = {}
    for name, values in [("elevation", ground), ("filled", filled)]:
        paths[name] = os.path.join(folder, name + ".tif")
        rows, cols = values.shape
        with rasterio.open(paths[name], "w", driver="GTiff", width=cols, height=rows, count=1, dtype="float32", crs="EPSG:2193",
                           nodata=numpy.nan, transform=rasterio.transform.from_origin(0, 50, 10, 10)) as raster:
            raster.write(values, 1)
    return paths


FAULTS = [
    (None, None),
    ("filled", "low"),
    ("filled", "high"),
    ("holes", "hole"),
    ("one grid", "other grid"),
]


def main():
    """Checks, or proves itself."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("elevation", nargs="?")
    parser.add_argument("filled", nargs="?")
    parser.add_argument("--self-test", action="store_true")
    given = vars(parser.parse_args())
    if given.pop("self_test"):
        self_test(FAULTS, proved)
    if not given["filled"]:
        parser.error("ELEVATION.tif and FILLED.tif are needed")
    check(**given).finish()


if __name__ == "__main__":
    sys.exit(main())
