#!/usr/bin/env python3
"""Flow areas against another library's: steepest descent (D8) and the steepest facet (D-infinity).

    flow.py FILLED.tif D8_AREA.tif D_INFINITY_AREA.tif [--tolerance 1e-4] [--least 20]
    flow.py --self-test

The rasters are in metres and square metres, on one grid. Directions of both kinds are pysheds' (and
with their published tables); they are added up here, highest cell first. Compared are
the cells whose whole catchment has one answer: no flat, no tie, no edge and no hole; D8 exactly, D-infinity to the
tolerance (a share of an angle is a float; single precision adds its own). Fewer such cells than --least are no
comparison. Prints JSON; exits 0 when all holds,
1 otherwise.
"""

import argparse
import os
import sys
import tempfile

import numpy
import rasterio

from findings import Findings, self_test

# numba, which pysheds needs, looks for a package with the name of a checker in this folder.
here = sys.path.pop(0)
from pysheds import _sgrid  # noqa: E402
sys.path.insert(0, here)

# Row and column of the neighbours, counter-clockwise from east, as pysheds numbers D-infinity directions.
STEPS = [(0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0), (1, 1)]
# pysheds' D8 numbers in that order.
D8 = (64, 128, 1, 2, 4, 8, 16, 32)
D8_STEPS = {1: 0, 128: 1, 64: 2, 32: 3, 16: 4, 8: 5, 4: 6, 2: 7}


def read(path):
    """Band 1 with holes as NaN, and the raster's transform."""
    with rasterio.open(path) as raster:
        return raster.read(1, masked=True).astype(float).filled(numpy.nan), raster.transform


def shifted(cells, step):
    """What lies one step away from each cell, NaN beyond the edge."""
    padded = numpy.pad(cells, 1, constant_values=numpy.nan)
    rows, cols = cells.shape
    return padded[1 + step[0]:1 + step[0] + rows, 1 + step[1]:1 + step[1] + cols]


def doubtful(levels, width, height, facets):
    """Cells whose own direction is not unique: edge, hole, flat, or two ways equally steep.

    Facets need no tie rule when both ends of an edge agree; a runner-up as steep as the steepest counts as a tie
    unless it is the next facet and both go along the side that they share.
    """
    lengths = [numpy.hypot(row * height, col * width) for row, col in STEPS]
    beside = [shifted(levels, step) for step in STEPS]
    if not facets:
        drops = numpy.sort(numpy.array([(levels - one) / length for one, length in zip(beside, lengths)]), axis=0)
        best, second = drops[-1], drops[-2]
    else:
        slopes = []
        for straight, diagonal in [(0, 1), (2, 1), (2, 3), (4, 3), (4, 5), (6, 5), (6, 7), (0, 7)]:
            out, across = (width, height) if straight in (0, 4) else (height, width)
            first, second = (levels - beside[straight]) / out, (beside[straight] - beside[diagonal]) / across
            slope = numpy.hypot(first, second)
            slope = numpy.where(second < 0, first, slope)
            steep = second * out > first * across
            slopes.append(numpy.where(steep, (levels - beside[diagonal]) / numpy.hypot(out, across), slope))
        slopes = numpy.array(slopes)
        order = numpy.argsort(slopes, axis=0)
        best = numpy.take_along_axis(slopes, order[-1:], 0)[0]
        second = numpy.take_along_axis(slopes, order[-2:-1], 0)[0]
        # Two facets beside each other that run along their common side have one answer.
        third = numpy.take_along_axis(slopes, order[-3:-2], 0)[0]
        apart = numpy.abs(order[-1] - order[-2])
        along = numpy.zeros_like(best, dtype=bool)
        for one, length in zip(beside, lengths):
            along |= numpy.isclose((levels - one) / length, best, rtol=1e-9, atol=0)
        together = along & ((apart == 1) | (apart == 7))
        second = numpy.where(together, third, second)
    whole = numpy.isfinite(sum(beside)) & numpy.isfinite(levels)
    return ~(whole & (best > 0) & (second < best * (1 - 1e-6)))


def shares(angles):
    """The two directions of each D-infinity angle, and the share of the first (square cells)."""
    steps = angles / (numpy.pi / 4)
    first = numpy.floor(steps)
    return first.astype(int) % 8, (first.astype(int) + 1) % 8, 1 - (steps - first)


def add_up(levels, receivers, doubts):
    """Cells through each cell, highest first; and where doubts of any kind come in.

    `receivers`: (direction or -1, share) arrays. A doubtful cell makes doubtful all around it that are not higher.
    """
    rows, cols = levels.shape
    amount, doubts = numpy.ones(levels.shape), doubts.copy()
    known = numpy.argwhere(numpy.isfinite(levels))
    order = known[numpy.lexsort((~doubts[tuple(known.T)], -levels[tuple(known.T)]))]
    for row, col in order:
        if doubts[row, col]:
            for down, right in STEPS:
                to = row + down, col + right
                if 0 <= to[0] < rows and 0 <= to[1] < cols and levels[to] <= levels[row, col]:
                    doubts[to] = True
            continue
        for direction, share in receivers:
            if share[row, col] > 0:
                down, right = STEPS[direction[row, col]]
                amount[row + down, col + right] += amount[row, col] * share[row, col]
    return amount, doubts


def outside(levels, width, height, facets):
    """Cells through each cell by pysheds' directions, and the cells of which they are not to be trusted."""
    if facets:
        angles = _sgrid._dinf_flowdir_numba(levels, width, height, numpy.nan, -1.0, -2.0)
        first, second, share = shares(numpy.where(angles >= 0, angles, 0.0))
        receivers = [(first, share), (second, 1 - share)]
    else:
        numbers = _sgrid._d8_flowdir_numba(levels, width, height, D8, ~numpy.isfinite(levels), 0, -1, -2)
        steps = numpy.vectorize(lambda number: D8_STEPS.get(number, 0))(numbers)
        receivers = [(steps, numpy.ones(levels.shape))]
    return add_up(levels, receivers, doubtful(levels, width, height, facets))


def check(filled, d8_area, d_infinity_area, tolerance=1e-4, least=20):
    """Both areas on every cell that has one answer."""
    findings = Findings()
    levels, transform = read(filled)
    width, height = transform.a, -transform.e
    areas = {False: read(d8_area), True: read(d_infinity_area)}
    for facets, (area, placed) in areas.items():
        name = "d_infinity" if facets else "d8"
        same = placed == transform and area.shape == levels.shape
        findings.check("one grid", same and (not facets or abs(width - height) < 1e-9 * width), f"{name}: {placed}, {transform}")
        if not same:
            continue
        holes = ~numpy.isfinite(levels)
        findings.check("holes", (numpy.isnan(area) == holes).all(), f"{name}: holes elsewhere than in the ground")
        amount, doubts = outside(levels, width, height, facets)
        plain = ~doubts & ~holes
        expected = amount * width * height
        apart = numpy.abs(area - expected)[plain]
        allowed = (tolerance if facets else 1e-7) * expected[plain]
        wrong = int((~(apart <= allowed)).sum())
        findings.check("enough", plain.sum() >= least, f"{name}: only {plain.sum()} cells have one answer, expected {least}")
        findings.check(name, wrong == 0, f"{wrong} of {plain.sum()} cells, apart by up to {apart.max(initial=0)} m2")
    return findings


def proved(change):
    """Findings about a faulty set."""
    with tempfile.TemporaryDirectory() as folder:
        return check(**faulty(change, folder), least=1000 if change == "enough" else 20)


def faulty(change, folder):
    """A round hill whose top lies between cells, with one thing changed."""
    side = 12
    rows, cols = numpy.mgrid[0:side, 0:side].astype(float)
    levels = 100 - numpy.hypot(rows - 0.43 * side, cols - 0.63 * side)
    d8, spread = [outside(levels, 10.0, 10.0, facets)[0] * 100 for facets in (False, True)]
    if change == "d8":
        d8[6, 8] += 100
    elif change == "d_infinity":
        spread[6, 8] *= 1.001
    elif change == "holes":
        d8[0, 0] = numpy.nan
    files, size = {}, 10
    for name, cells in [("filled", levels), ("d8_area", d8), ("d_infinity_area", spread)]:
        files[name] = os.path.join(folder, name + ".tif")
        corner = 5 if change == "one grid" and name == "d8_area" else 0
        with rasterio.open(files[name], "w", driver="GTiff", width=cells.shape[1], height=cells.shape[0], count=1, dtype="float64",
                           nodata=numpy.nan, transform=rasterio.transform.from_origin(corner, 0, size, size)) as raster:
            raster.write(cells, 1)
    return files


FAULTS = [
    (None, None),
    ("d8", "d8"),
    ("d_infinity", "d_infinity"),
    ("holes", "holes"),
    ("one grid", "one grid"),
    ("enough", "enough"),
]


def main():
    """Checks, or proves itself."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("filled", nargs="?")
    parser.add_argument("d8_area", nargs="?")
    parser.add_argument("d_infinity_area", nargs="?")
    parser.add_argument("--tolerance", type=float, default=1e-4)
    parser.add_argument("--least", type=int, default=20)
    parser.add_argument("--self-test", action="store_true")
    given = vars(parser.parse_args())
    if given.pop("self_test"):
        self_test(FAULTS, proved)
    if not given["d_infinity_area"]:
        parser.error("FILLED.tif, D8_AREA.tif and D_INFINITY_AREA.tif are needed")
    check(**given).finish()


if __name__ == "__main__":
    sys.exit(main())
