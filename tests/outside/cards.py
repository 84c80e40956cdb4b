#!/usr/bin/env python3
"""Drop points of a plan by GEOS, which had no part in finding them.

    cards.py PLAN.gpkg --cards cards.csv --tracks FILE [--layer NAME]
    cards.py --self-test

- to_track_m is the distance between the zone and the nearest track, to 1e-6 m.
- The drop point lies on a track, and no more than a metre farther from its zone than the nearest place.
- Of the tracks so near to the zone (its buffer, with arcs of 256 pieces to the quarter) no place is nearer to its
  centroid, to a centimetre.

Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import csv
import os
import sys
import tempfile

import numpy
import pyogrio
import shapely

from findings import Findings, self_test
from layers import Layer

AS_NEAR_M = 1.0


def check(gpkg, cards, tracks, layer=None):
    """Every card against its zone and the tracks."""
    findings, zones = Findings(), Layer(gpkg, "zones")
    polygons = dict(zip(zones["zone_id"], zones.polygons))
    ways = shapely.union_all(Layer(tracks, layer).polygons)
    with open(cards, encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        zone, item = polygons[row["zone_id"]], row["block_id"]
        drop = shapely.Point(float(row["drop_east_m"]), float(row["drop_north_m"]))
        nearest = zone.distance(ways)
        findings.close("to_track_m", float(row["to_track_m"]), nearest, 0.0, 1e-6, item)
        findings.close("on a track", drop.distance(ways), 0.0, 0.0, 1e-6, item)
        limit = nearest + AS_NEAR_M
        findings.check("as near", drop.distance(zone) <= limit + 1e-6, f"{item}: {drop.distance(zone)} m, expected {limit}")
        near = ways.intersection(zone.buffer(limit, quad_segs=256))
        expected = near.distance(zone.centroid)
        findings.close("nearest to the centroid", drop.distance(zone.centroid), expected, 0.0, 0.01, item)
    return findings


def proved(change):
    """Findings about the faulty card."""
    with tempfile.TemporaryDirectory() as folder:
        return check(**faulty(change or {}, folder))


def faulty(change, folder):
    """A zone of 100 m by 60 m and a track 5 m south of it, known by hand, with some figures changed."""
    file = lambda name: os.path.join(folder, name)
    row = dict(zone_id="Z001", block_id="Z001-low", drop_east_m=50.0, drop_north_m=-5.0, to_track_m=5.0)
    row.update(change)
    write = lambda name, shape, kind: pyogrio.raw.write(
        file(name), shapely.to_wkb([shape]), [numpy.array(["Z001"], dtype=object)], ["zone_id"], layer=kind, driver="GPKG",
        crs="EPSG:2193", geometry_type=shape.geom_type)
    write("plan.gpkg", shapely.MultiPolygon([shapely.box(0, 0, 100, 60)]), "zones")
    write("tracks.gpkg", shapely.LineString([(-50, -5), (170, -5), (170, 90)]), "tracks")
    with open(file("cards.csv"), "w", encoding="utf-8", newline="") as table:
        writer = csv.DictWriter(table, list(row))
        writer.writeheader()
        writer.writerow(row)
    return dict(gpkg=file("plan.gpkg"), cards=file("cards.csv"), tracks=file("tracks.gpkg"), layer="tracks")


FAULTS = [
    (None, None),
    ("to_track_m", {"to_track_m": 5.001}),
    ("on a track", {"drop_north_m": -4.9}),
    ("as near", {"drop_east_m": 140.0}),
    ("nearest to the centroid", {"drop_east_m": 60.0}),
]


def main():
    """Checks, or proves itself."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gpkg", nargs="?")
    for option in ["cards", "tracks", "layer"]:
        parser.add_argument(f"--{option}")
    parser.add_argument("--self-test", action="store_true")
    given = vars(parser.parse_args())
    if given.pop("self_test"):
        self_test(FAULTS, proved)
    if not (given["gpkg"] and given["cards"] and given["tracks"]):
        parser.error("PLAN.gpkg, --cards and --tracks are needed")
    check(**given).finish()


if __name__ == "__main__":
    sys.exit(main())
