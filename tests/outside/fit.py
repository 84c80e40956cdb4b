#!/usr/bin/env python3
"""Fit of every line in every zone by another route than the engine's.

    fit.py PLAN_FOLDER --stock stock.csv --layer FACTOR=FILE.tif ... --cover cover.tif --open CODE=SHARE,...
           [--soil FILE:LAYER:FIELD --drainage CODE=CLASS,...] [--floor 0.5] [--tolerance 1e-6]
    fit.py --self-test

The stock is the table that `hillweave stock -o stock.csv` writes, the layers those of `hillweave ground SITE`.
Membership by scikit-fuzzy (trapmf); the least one by numpy; the share of each cell that a zone covers by
exactextract; soils burned by rasterio. Compares fit, order, shares by order, share below the floor, and what
each factor limits and costs, side by side. Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import csv
import json
import os
import tempfile

import exactextract
import numpy
import pyogrio
import rasterio
import rasterio.features
import shapely
import skfuzzy

from findings import Findings, self_test
from layers import Layer

ENDS = ["none_below", "full_from", "full_to", "none_above"]
CLASSES = ["very_poor", "poor", "imperfect", "moderately_well", "well"]
FAR = 1e12  # where an open end is put


def membership(row, factor, values):
    """Membership of values in a line's range, and whether it names the factor at all."""
    corners = [row.get(f"tolerance_{factor}_{end}", "") for end in ENDS]
    if not any(corners):
        return None, None
    a, b, c, d = [float(text) if text else far for text, far in zip(corners, [-2 * FAR, -FAR, FAR, 2 * FAR])]
    known = ~numpy.isnan(values)
    found = numpy.ones(len(values))  # what is not known does not limit
    if known.any():
        found[known] = skfuzzy.trapmf(values[known], [a, b, c, d])
    return found, numpy.where(values < b, "too_low", "too_high")


def drained(row, classes):
    """Membership by drainage class; -1 is not known."""
    texts = [row.get(f"tolerance_drainage_{name}", "") for name in CLASSES]
    if not any(texts):
        return None, None
    ladder = numpy.array([float(text) for text in texts] + [1.0])
    best = numpy.flatnonzero(ladder[:-1] == ladder[:-1].max())
    sides = numpy.where(classes < best[0], "too_low", numpy.where(classes > best[-1], "too_high", "unsuited"))
    return ladder[classes], sides


def fit_of(row, layers, classes, weights, floor, edges):
    """What a plan says of one line on cells of so much ground."""
    least, factor, side = numpy.ones(len(weights)), numpy.full(len(weights), "", dtype=object), numpy.full(len(weights), "", dtype=object)
    named = [(name, *membership(row, name, values)) for name, values in layers.items()]
    if classes is not None:
        named.append(("drainage", *drained(row, classes)))
    for name, found, sides in named:
        if found is None:
            continue
        less = found < least
        least, factor, side = numpy.where(less, found, least), numpy.where(less, name, factor), numpy.where(less, sides, side)
    ground = weights.sum()
    share = lambda mask: float(weights[mask].sum() / ground) if ground > 0 else 0.0
    limits = {}
    for name, which in {(f, s) for f, s in zip(factor, side) if f}:
        here = (factor == name) & (side == which)
        if share(here) > 0:
            limits[name, which] = (share(here), float((weights[here] * (1 - least[here])).sum() / ground))
    order = numpy.digitize(least, edges)  # 0 not suitable … 3 highly suitable, edges rising
    return dict(fit=float((weights * least).sum() / ground) if ground > 0 else 0.0, below=share(least < floor),
                orders=[share(order == step) for step in (3, 2, 1, 0)], limits=limits)


def check(folder, stock, layers, cover, open_shares, soil=None, drainage=None, floor=0.5, tolerance=1e-6):
    """Every line in every zone of a plan."""
    findings, zones = Findings(), Layer(os.path.join(folder, "plan.gpkg"), "zones")
    with open(os.path.join(folder, "plan.json"), encoding="utf-8") as file:
        plan = json.load(file)
    with open(stock, encoding="utf-8", newline="") as file:
        rows = {row["id"]: row for row in csv.DictReader(file)}
    with rasterio.open(cover) as raster:
        codes, transform, size = raster.read(1).ravel(), raster.transform, raster.shape
    stack = {}
    for factor, path in layers.items():
        with rasterio.open(path) as raster:
            findings.check("one grid", (raster.transform, raster.shape) == (transform, size), f"{path} is on another grid")
            stack[factor] = raster.read(1, masked=True).astype(float).filled(numpy.nan).ravel()
    if findings.found:
        return findings
    classes = burned(soil, drainage, transform, size) if soil else None
    weight = numpy.array([open_shares.get(code, 0.0) for code in range(256)])[codes]
    edges = [plan["fit_edges"][name] for name in ("s3_from", "s2_from", "s1_from")]
    fits = {(fit["zone_id"], fit["stock_id"]): fit for fit in plan["fits"]}
    findings.check("every pair", set(fits) == {(zone, line) for zone in zones["zone_id"] for line in rows}, "zones and lines differ")
    for zone, polygon in zip(zones["zone_id"], zones.polygons):
        feature = {"type": "Feature", "properties": {}, "geometry": shapely.geometry.mapping(polygon)}
        got = exactextract.exact_extract(cover, feature, ["cell_id", "coverage"])[0]["properties"]
        cells, covered = got["cell_id"].astype(int), got["coverage"]
        here = {factor: values[cells] for factor, values in stack.items()}
        for line in rows:
            if (zone, line) in fits:
                mine = fit_of(rows[line], here, None if classes is None else classes[cells], covered * weight[cells], floor, edges)
                compare(findings, fits[zone, line], mine, edges, tolerance, f"{zone} {line}")
    return findings


def compare(findings, told, mine, edges, tolerance, item):
    """One row of a plan with what was found here."""
    close = lambda name, a, b: findings.close(name, a, b, 0, tolerance, item)
    close("fit", told["fit"], mine["fit"])
    close("share_below", told["share_below"], mine["below"])
    for name, share in zip(["s1_share", "s2_share", "s3_share", "n_share"], mine["orders"]):
        close("order shares", told[name], share)
    step = int(numpy.digitize(told["fit"], edges))
    findings.check("fit_class", told["fit_class"] == ["N", "S3", "S2", "S1"][step], f"{item}: {told['fit_class']} at {told['fit']}")
    limits = {(one["factor"], one["side"]): (one["share"], one["lost"]) for one in told["limits"]}
    for limit in set(limits) | set(mine["limits"]):
        (a, b), (c, d) = limits.get(limit, (0, 0)), mine["limits"].get(limit, (0, 0))
        close("limit share", a, c)
        close("limit lost", b, d)
    worst = told["limits"][0]["factor"] if told["limits"] else ""
    findings.check("limiting_factor", told["limiting_factor"] == worst, f"{item}: {told['limiting_factor']}, first of limits {worst}")
    largest = max([lost for _, lost in mine["limits"].values()], default=0)
    first = told["limits"][0]["lost"] if told["limits"] else 0
    close("greatest first", first, largest)


def burned(soil, drainage, transform, size):
    """Step of the drainage ladder of every cell, -1 where there is none."""
    path, layer, field = soil.split(":")
    polygons = Layer(path, layer)
    steps = [CLASSES.index(drainage[code]) + 1 for code in polygons[field]]
    cells = rasterio.features.rasterize(list(zip(polygons.polygons, steps)), out_shape=size, transform=transform, dtype="int16")
    return cells.ravel().astype(int) - 1


def proved(change):
    """Findings about a small plan with one thing changed.

    A zone of 10 x 10 cells, the western half of 10 degrees, the eastern of 45; one line grows fully to 30 and
    not from 60: 0.5 in the east. Fit 0.75; the slope limits half the ground and costs 0.25; half is S1, half S2.
    """
    row = dict(zone_id="Z001", stock_id="a", fit=0.75, fit_class="S2", s1_share=0.5, s2_share=0.5, s3_share=0.0, n_share=0.0,
               share_below=0.5, limiting_factor="slope_deg", limits=[dict(factor="slope_deg", side="too_high", share=0.5, lost=0.25)])
    other_grid = change == "other grid"
    if isinstance(change, dict):
        row.update(change)
    with tempfile.TemporaryDirectory() as folder:
        file = lambda name: os.path.join(folder, name)
        square = shapely.MultiPolygon([shapely.box(0, 0, 10, 10)])
        pyogrio.raw.write(file("plan.gpkg"), shapely.to_wkb([square]), [numpy.array(["Z001"], dtype=object)], ["zone_id"],
                          layer="zones", driver="GPKG", crs="EPSG:2193", geometry_type="MultiPolygon")
        with open(file("plan.json"), "w", encoding="utf-8") as out:
            json.dump(dict(fits=[row], fit_edges=dict(s1_from=0.8, s2_from=0.4, s3_from=0.2)), out)
        with open(file("stock.csv"), "w", encoding="utf-8") as out:
            out.write("id,tolerance_slope_deg_full_to,tolerance_slope_deg_none_above\na,30,60\n")
        slope = numpy.full((10, 10), 10.0, dtype="float32")
        slope[:, 5:] = 45.0
        for name, cells, side in [("slope.tif", slope, 2.0 if other_grid else 1.0), ("cover.tif", numpy.ones((10, 10), dtype="uint8"), 1.0)]:
            with rasterio.open(file(name), "w", driver="GTiff", width=10, height=10, count=1, dtype=cells.dtype, crs="EPSG:2193",
                               transform=rasterio.transform.from_origin(0, 10, side, side)) as raster:
                raster.write(cells, 1)
        return check(folder, file("stock.csv"), {"slope_deg": file("slope.tif")}, file("cover.tif"), {1: 1.0}, floor=0.6)


LIMIT = dict(factor="slope_deg", side="too_high", share=0.5, lost=0.25)
FAULTS = [
    (None, None),
    ("one grid", "other grid"),
    ("every pair", dict(stock_id="b")),
    ("fit", dict(fit=0.7501)),
    ("share_below", dict(share_below=0.4)),
    ("order shares", dict(s1_share=0.4)),
    ("fit_class", dict(fit_class="S1")),
    ("limit share", dict(limits=[dict(LIMIT, share=0.6)])),
    ("limit share", dict(limits=[dict(LIMIT, side="too_low")])),
    ("limit lost", dict(limits=[dict(LIMIT, lost=0.3)])),
    ("limiting_factor", dict(limiting_factor="")),
    ("greatest first", dict(limits=[])),
]


def pairs(text):
    """`a=b,c=d` as a dictionary."""
    return dict(part.split("=") for part in text.split(","))


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", nargs="?")
    for name in ("stock", "cover", "open", "soil", "drainage"):
        parser.add_argument(f"--{name}")
    parser.add_argument("--layer", action="append", default=[])
    parser.add_argument("--floor", type=float, default=0.5)
    parser.add_argument("--tolerance", type=float, default=1e-6)
    parser.add_argument("--self-test", action="store_true")
    said = parser.parse_args()
    if said.self_test:
        self_test(FAULTS, proved)
    check(said.folder, said.stock, dict(one.split("=") for one in said.layer), said.cover,
          {int(code): float(share) for code, share in pairs(said.open).items()}, said.soil,
          said.drainage and pairs(said.drainage), said.floor, said.tolerance).finish(plan=said.folder)


if __name__ == "__main__":
    main()
