#!/usr/bin/env python3
"""A comparison of two plans by GEOS, which had no part in making it.

    compare.py FOLDER --a plan.gpkg --b plan.gpkg
    compare.py --self-test

- The ground from what to what is what the intersections of all parts of both plans come to, to 10 m² or a part in a
  million of the property: of mixtures the smaller share stays and the rest changes in proportion.
- Rows add up to the lines of the first plan, columns to those of the second.
- The pieces of compare.gpkg are valid, tile the ground of both plans, and say what stands on them.
- Zones are counted as the same where their polygons are equal, and as redrawn where each holds half of the other.

Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import collections
import json
import os
import sys
import tempfile

import numpy
import pyogrio
import shapely

from findings import Findings, self_test
from layers import Layer

LEAST_HA = 0.001


class Plan:
    """Parts of a plan: polygon, zone or None, and shares of what stands on it."""

    def __init__(self, gpkg):
        there = {str(name) for name, _ in pyogrio.list_layers(gpkg)}
        shares = collections.defaultdict(lambda: collections.defaultdict(float))
        self.lines = collections.defaultdict(float)
        blocks = Layer(gpkg, "blocks") if "blocks" in there else None
        for row in range(len(blocks) if blocks is not None else 0):
            shares[blocks["zone_id"][row]][blocks["stock_id"][row]] += float(blocks["share"][row])
            self.lines[blocks["stock_id"][row]] += float(blocks["plan_area_ha"][row])
        self.polygons, self.names, self.on_it, self.is_zone = [], [], [], []
        for name, key, what in [("zones", "zone_id", None), ("keep_clear", "keep_clear_id", "kept clear"), ("stands", "stand_id", "kept stand")]:
            layer = Layer(gpkg, name)
            for row in range(len(layer)):
                own = dict(shares[layer[key][row]]) if what is None else {what: 1.0}
                left = 1 - sum(own.values())
                self.on_it.append({**own, "not planted": left} if left > 1e-9 else own)
                self.polygons.append(layer.polygons[row])
                self.names.append(layer[key][row])
                self.is_zone.append(what is None)


def check(folder, a, b):
    """Everything about one comparison."""
    findings, first, second = Findings(), Plan(a), Plan(b)
    with open(os.path.join(folder, "compare.json"), encoding="utf-8") as file:
        told = json.load(file)
    pairs = crossed(first, second)
    ground = matrix(first, second, pairs)
    total = sum(ground.values())
    slack = max(LEAST_HA, 1e-6 * total)
    said = {(row["from"], row["to"]): row["plan_area_ha"] for row in told["ground"]}
    for pair in sorted(set(ground) | set(said)):
        findings.close("ground", said.get(pair, 0.0), ground.get(pair, 0.0), 0.0, slack, f"{pair[0]} to {pair[1]}")
    changed = sum(area for pair, area in said.items() if pair[0] != pair[1])
    findings.close("changed", told["line_changes_plan_ha"], changed, 1e-9, 1e-4, "line_changes_plan_ha")
    for side, plan in [(0, first), (1, second)]:
        for line, area in plan.lines.items():
            found = sum(area for pair, area in said.items() if pair[side] == line)
            findings.close("lines", found, area, 1e-6, 1e-4, f"{'ab'[side]}: {line}")
    check_zones(findings, told, first, second, pairs)
    check_pieces(findings, os.path.join(folder, "compare.gpkg"), first, second)
    return findings


def crossed(first, second):
    """Square metres that each two parts share."""
    tree = shapely.STRtree(second.polygons)
    rows, others = tree.query(numpy.array(first.polygons), predicate="intersects")
    shared = shapely.area(shapely.intersection(numpy.array(first.polygons)[rows], numpy.array(second.polygons)[others]))
    return {(int(i), int(j)): float(area) for i, j, area in zip(rows, others, shared) if area > 0}


def matrix(first, second, pairs):
    """Hectares from what to what; ground of one plan alone is outside the other."""
    ground = collections.defaultdict(float)
    for (i, j), area in pairs.items():
        add(ground, first.on_it[i], second.on_it[j], area / 10_000)
    for plan, side in [(first, 0), (second, 1)]:
        for at, polygon in enumerate(plan.polygons):
            alone = (polygon.area - sum(area for pair, area in pairs.items() if pair[side] == at)) / 10_000
            if alone > LEAST_HA:
                outside = {"outside the plan": 1.0}
                add(ground, *((plan.on_it[at], outside) if side == 0 else (outside, plan.on_it[at])), alone)
    return ground


def add(ground, a, b, hectares):
    """The smaller share stays, the rest in proportion."""
    kept = {name: min(a.get(name, 0), b.get(name, 0)) for name in set(a) | set(b)}
    takes = {name: share - kept[name] for name, share in b.items()}
    for name, share in kept.items():
        if share > 0:
            ground[name, name] += share * hectares
    for x, share in a.items():
        for y, taken in takes.items():
            moved = (share - kept[x]) * taken
            if moved > 0:
                ground[x, y] += moved / sum(takes.values()) * hectares


def check_zones(findings, told, first, second, pairs):
    """Same, redrawn, gone and new by the polygons alone."""
    same = redrawn = 0
    for (i, j), area in pairs.items():
        if first.is_zone[i] and second.is_zone[j]:
            a, b = first.polygons[i], second.polygons[j]
            equal = shapely.equals_exact(shapely.normalize(a), shapely.normalize(b), 0.0)
            same += equal
            redrawn += not equal and area >= 0.5 * max(a.area, b.area)
    expected = dict(same=same, redrawn=redrawn, gone=sum(first.is_zone) - same - redrawn, new=sum(second.is_zone) - same - redrawn)
    for name, number in expected.items():
        findings.check("zones", told["zones"][name] == number, f"{name}: {told['zones'][name]}, expected {number}")


def check_pieces(findings, gpkg, first, second):
    """Valid, side by side, and of what they say."""
    pieces = Layer(gpkg, "changes")
    whole = shapely.union_all(first.polygons + second.polygons)
    findings.close("tiles", float(pieces.hectares.sum()), whole.area / 10_000, 1e-6, item="all pieces")
    findings.check("valid", bool(shapely.is_valid(pieces.polygons).all()), "a piece is not valid")
    union = shapely.union_all(shapely.make_valid(pieces.polygons)).area / 10_000
    findings.close("overlap", union, float(pieces.hectares.sum()), 1e-6, item="union of all pieces")
    where = [dict(zip(plan.names, plan.polygons)) for plan in (first, second)]
    on_it = [dict(zip(plan.names, plan.on_it)) for plan in (first, second)]
    for row, polygon in enumerate(pieces.polygons):
        point = polygon.representative_point()
        for side, column in enumerate(["from_zone", "to_zone"]):
            name = pieces[column][row]
            inside = name is None or where[side][name].buffer(0.002).covers(point)
            findings.check("places", inside, f"{pieces['piece_id'][row]} is not in {name}")
            words = pieces[["from_lines", "to_lines"][side]][row]
            known = {"outside the plan"} if name is None else set(on_it[side][name])
            named = {word.rsplit(" ", 2)[0] if word.endswith(" %") else word for word in words.split(", ")}
            findings.check("words", named == known, f"{pieces['piece_id'][row]}: {words}, expected {known}")
    findings.close("plan_area_ha", float(numpy.abs(pieces["plan_area_ha"] - pieces.hectares).max()), 0.0, 0.0, 1e-6, "largest difference")


def proved(change):
    """Findings about the faulty comparison: a square of two zones, of which the second is cut otherwise."""
    with tempfile.TemporaryDirectory() as folder:
        box = lambda *corners: shapely.MultiPolygon([shapely.box(*corners)])
        write_plan(folder, "a", [("Z1", box(0, 0, 100, 100), {"x": 1.0}), ("Z2", box(100, 0, 200, 100), {"x": 0.5, "y": 0.5})])
        write_plan(folder, "b", [("Z1", box(0, 0, 100, 100), {"x": 1.0}), ("Z2", box(100, 0, 180, 100), {"y": 1.0}), ("Z3", box(180, 0, 200, 100), {})])
        clear, stand = "kept clear", "kept stand"
        told = dict(
            ground=[dict(zip(("from", "to", "plan_area_ha"), row)) for row in
                    [("x", "x", 1.0), ("x", "y", 0.4), ("y", "y", 0.4), ("x", "not planted", 0.1), ("y", "not planted", 0.1), (clear, clear, 1.0), (stand, stand, 1.0)]],
            line_changes_plan_ha=0.6, zones=dict(same=1, redrawn=1, gone=0, new=1))
        rows = [["C1", "Z1", "Z1", "x", "x", box(0, 0, 100, 100)], ["C2", "Z2", "Z2", "x 50 %, y 50 %", "y", box(100, 0, 180, 100)],
                ["C3", "Z2", "Z3", "x 50 %, y 50 %", "not planted", box(180, 0, 200, 100)],
                ["C4", "K1", "K1", clear, clear, box(0, 100, 100, 200)], ["C5", "S1", "S1", stand, stand, box(100, 100, 200, 200)]]
        areas = [row[-1].area / 10_000 for row in rows]
        (change or (lambda told, rows, areas: None))(told, rows, areas)
        with open(os.path.join(folder, "compare.json"), "w", encoding="utf-8") as file:
            json.dump(told, file)
        columns = [numpy.array([row[at] for row in rows], dtype=object) for at in range(5)] + [numpy.array(areas)]
        put(os.path.join(folder, "compare.gpkg"), "changes", [row[-1] for row in rows], columns,
            ["piece_id", "from_zone", "to_zone", "from_lines", "to_lines", "plan_area_ha"])
        return check(folder, os.path.join(folder, "a.gpkg"), os.path.join(folder, "b.gpkg"))


def write_plan(folder, name, zones):
    """A small plan."""
    file = os.path.join(folder, f"{name}.gpkg")
    texts = lambda values: numpy.array(values, dtype=object)
    put(file, "zones", [zone[1] for zone in zones], [texts([zone[0] for zone in zones])], ["zone_id"])
    blocks = [(zone, polygon, line, share) for zone, polygon, lines in zones for line, share in lines.items()]
    put(file, "blocks", [block[1] for block in blocks],
        [texts([block[0] for block in blocks]), texts([block[2] for block in blocks]), numpy.array([block[3] for block in blocks]),
         numpy.array([block[3] * block[1].area / 10_000 for block in blocks])], ["zone_id", "stock_id", "share", "plan_area_ha"])
    put(file, "keep_clear", [shapely.MultiPolygon([shapely.box(0, 100, 100, 200)])], [texts(["K1"])], ["keep_clear_id"])
    put(file, "stands", [shapely.MultiPolygon([shapely.box(100, 100, 200, 200)])], [texts(["S1"])], ["stand_id"])


def put(file, layer, shapes, columns, names):
    """A layer of a GeoPackage."""
    pyogrio.raw.write(file, shapely.to_wkb(shapes), columns, names, layer=layer, driver="GPKG", crs="EPSG:2193",
                      geometry_type="MultiPolygon", append=os.path.exists(file))


def row(at, place, value):
    """A comparison with another value in a piece."""
    return lambda told, rows, areas: rows[at].__setitem__(place, value)


FAULTS = [
    (None, None),
    ("ground", lambda told, rows, areas: told["ground"][1].update(plan_area_ha=0.41)),
    ("ground", lambda told, rows, areas: told["ground"].pop(3)),
    ("changed", lambda told, rows, areas: told.update(line_changes_plan_ha=0.61)),
    ("lines", lambda told, rows, areas: told["ground"][0].update(plan_area_ha=1.0002)),
    ("zones", lambda told, rows, areas: told["zones"].update(redrawn=0)),
    ("tiles", lambda told, rows, areas: (rows.pop(), areas.pop())),
    ("overlap", row(2, 5, shapely.MultiPolygon([shapely.box(170, 0, 190, 100)]))),
    ("valid", row(2, 5, shapely.MultiPolygon([shapely.Polygon([(180, 0), (200, 100), (200, 0), (180, 100)])]))),
    ("places", row(2, 2, "Z1")),
    ("words", row(2, 4, "y")),
    ("plan_area_ha", lambda told, rows, areas: areas.__setitem__(0, 1.1)),
]


def main():
    """Checks, or proves itself."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", nargs="?")
    parser.add_argument("--a")
    parser.add_argument("--b")
    parser.add_argument("--self-test", action="store_true")
    given = vars(parser.parse_args())
    if given.pop("self_test"):
        self_test(FAULTS, proved)
    if not (given["folder"] and given["a"] and given["b"]):
        parser.error("FOLDER, --a and --b are needed")
    check(**given).finish()


if __name__ == "__main__":
    sys.exit(main())
