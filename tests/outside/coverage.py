#!/usr/bin/env python3
"""A written plan, read back by libraries that had no part in making it.

    coverage.py PLAN.gpkg [--boundary FILE [--layer NAME]] [--plan plan.json] [--schedule schedule.csv]
                [--geojson zones.geojson|blocks.geojson ...]
    coverage.py --self-test

Zones, stands and keep-clear ground must tile the property; areas, shares and counts must recompute; the
files must agree. Prints JSON; exits 0 when all holds, 1 otherwise. --self-test feeds it faulty plans.
"""

import argparse
import os
import sys

from findings import Findings, self_test
from layers import Layer, read_plan
from rfc7946 import check_geojson
from tiling import check_areas, check_boundary, check_tiling
from totals import check_plan, check_schedule

NAME_OF = {"zones": "zone_id", "blocks": "block_id"}


def arguments():
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gpkg", nargs="?")
    parser.add_argument("--boundary")
    parser.add_argument("--layer")
    parser.add_argument("--plan")
    parser.add_argument("--schedule")
    parser.add_argument("--geojson", nargs="+", default=[])
    parser.add_argument("--self-test", action="store_true")
    given = parser.parse_args()
    if not given.self_test and not given.gpkg:
        parser.error("PLAN.gpkg is missing")
    return given


def check(gpkg, boundary=None, layer=None, plan_json=None, schedule=None, geojson=()):
    """All checks for which there is a file."""
    findings, plan = Findings(), read_plan(gpkg)
    crs = {one.crs for one in plan.values()}
    findings.check("one coordinate system", len(crs) == 1, str(crs))
    check_tiling(findings, plan)
    check_areas(findings, plan)
    if boundary:
        check_boundary(findings, plan, Layer(boundary, layer))
    if plan_json:
        check_plan(findings, plan, plan_json)
    if schedule:
        check_schedule(findings, plan, schedule)
    for file in geojson:
        name = os.path.basename(file).removesuffix(".geojson")
        check_geojson(findings, file, plan[name], NAME_OF[name])
    return findings


def main():
    """Checks, or proves itself."""
    given = arguments()
    if given.self_test:
        from faulty_plans import FAULTS, written

        def run(fault):
            with written(fault) as files:
                return check(**files)

        self_test(FAULTS, run)
    files = dict(boundary=given.boundary, layer=given.layer, plan_json=given.plan, schedule=given.schedule)
    check(given.gpkg, geojson=given.geojson, **files).finish()


if __name__ == "__main__":
    sys.exit(main())
