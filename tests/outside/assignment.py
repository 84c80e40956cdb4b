#!/usr/bin/env python3
"""The assignment of stock to zones, solved by HiGHS by way of scipy.optimize.milp.

    assignment.py INSTANCE.json
    assignment.py --self-test

Maximise the sum of area x share x worth, subject to: the shares of a zone sum to at most 1; the plants of a
line to at most its supply; the hectares of a line to at most line_cap x the area of all zones; each share is
0 or at least min_share.

    {"zones": [{"area_ha": 2.0, "offers": [{"worth_per_ha": 0.9, "plants_per_ha": 1100.0}, null]}],
     "lines": [{"supply": 1500}, {"supply": null}], "min_share": 0.2, "line_cap": 0.6,
     "shares": [[0.68, 0.0]], "gap": 0.001}

`offers` has one entry for each line, null where the line is not allowed. With `shares` (zone by line) that
assignment is checked: that it keeps every limit, and that it is worth the optimum within `gap` (default
1e-6, relative). Prints JSON with `optimum`; exits 0 when all holds, 1 otherwise.
"""

import json
import sys

import numpy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from findings import Findings, self_test

ROOM = 1e-7  # limits may be overdrawn by this, relative


class Columns:
    """One for each zone and line that are allowed together."""

    def __init__(self, instance):
        pairs = [(z, l, zone["area_ha"], offer) for z, zone in enumerate(instance["zones"])
                 for l, offer in enumerate(zone["offers"]) if offer is not None]
        self.zone = numpy.array([pair[0] for pair in pairs], dtype=int)
        self.line = numpy.array([pair[1] for pair in pairs], dtype=int)
        self.hectares = numpy.array([pair[2] for pair in pairs], dtype=float)
        self.worth = numpy.array([pair[2] * pair[3]["worth_per_ha"] for pair in pairs])
        self.plants = numpy.array([pair[2] * pair[3]["plants_per_ha"] for pair in pairs])

    def __len__(self):
        return len(self.zone)


def limits(instance, columns):
    """Rows of (what, columns' use, limit)."""
    area = sum(zone["area_ha"] for zone in instance["zones"])
    for zone in range(len(instance["zones"])):
        yield f"zone {zone}", (columns.zone == zone).astype(float), 1.0
    for line, limit in enumerate(instance["lines"]):
        of_line = columns.line == line
        if limit["supply"] is not None:
            yield f"supply of line {line}", columns.plants * of_line, limit["supply"]
        yield f"cap of line {line}", columns.hectares * of_line, instance["line_cap"] * area


def solve(instance):
    """Optimum and proven bound. Shares first, then whether each is above 0."""
    columns = Columns(instance)
    count = len(columns)
    if count == 0:
        return 0.0, 0.0
    rows = [(numpy.concatenate([use, numpy.zeros(count)]), limit) for _, use, limit in limits(instance, columns)]
    every = numpy.arange(count)
    # share - used <= 0 and min_share x used - share <= 0
    links = coo_array((numpy.concatenate([numpy.ones(count), -numpy.ones(count), -numpy.ones(count), numpy.full(count, instance["min_share"])]),
                       (numpy.concatenate([every, every, every + count, every + count]),
                        numpy.concatenate([every, every + count, every, every + count]))), shape=(2 * count, 2 * count))
    constraints = [LinearConstraint(numpy.array([row for row, _ in rows]), ub=[limit for _, limit in rows]),
                   LinearConstraint(links.tocsc(), ub=0.0)]
    value = numpy.concatenate([-columns.worth, numpy.zeros(count)])
    whole = numpy.concatenate([numpy.zeros(count), numpy.ones(count)])
    answer = milp(value, integrality=whole, bounds=Bounds(0, 1), constraints=constraints, options={"mip_rel_gap": 1e-9, "time_limit": 120})
    if answer.status != 0:
        raise SystemExit(f"HiGHS: {answer.message}")
    optimum, bound = -answer.fun, -answer.mip_dual_bound
    if not optimum - 1e-6 <= bound <= optimum * (1 + 1e-6) + 1e-9:
        raise SystemExit(f"HiGHS: optimum {optimum}, bound {bound}")
    return optimum, bound


def check(instance):
    """The given shares against every limit and against the optimum."""
    findings = Findings()
    findings.optimum, findings.bound = solve(instance)
    if "shares" in instance:
        findings.value = check_shares(findings, instance, Columns(instance))
    return findings


def check_shares(findings, instance, columns):
    """Limits kept, and worth; returns the worth."""
    table = numpy.array(instance["shares"], dtype=float).reshape(len(instance["zones"]), len(instance["lines"]))
    shares, least = table[columns.zone, columns.line], instance["min_share"]
    findings.check("allowed", numpy.isclose(table.sum(), shares.sum(), atol=1e-12), "a share where the line is not allowed")
    small = (shares != 0) & (shares < least - ROOM)
    findings.check("least share", not small.any() and (shares >= 0).all(), f"shares {shares[small][:5]}")
    for what, use, limit in limits(instance, columns):
        used = float(use @ shares)
        findings.check(what.split()[0], used <= limit * (1 + ROOM) + 1e-9, f"{what}: {used} of {limit}")
    value, gap = float(columns.worth @ shares), instance.get("gap", 1e-6)
    findings.check("optimal", value >= findings.optimum * (1 - gap) - 1e-9, f"{value}, optimum {findings.optimum}, gap {gap}")
    findings.check("possible", value <= findings.optimum * (1 + 1e-6) + 1e-9, f"{value} is more than the optimum {findings.optimum}")
    return value


def faults():
    """A sound instance, worked by hand, and faulty answers to it.

    Two zones of 2 and 1 ha; line 0 is worth 1.0 a hectare and has plants for 1.5 ha, line 1 is worth 0.5
    everywhere. Best: line 0 on 1.5 ha, line 1 on the other 1.5 ha: 1.5 + 0.75 = 2.25.
    """
    both = [{"worth_per_ha": 1.0, "plants_per_ha": 1000.0}, {"worth_per_ha": 0.5, "plants_per_ha": 1000.0}]
    only = [None, both[1]]
    base = {"zones": [{"area_ha": 2.0, "offers": both}, {"area_ha": 1.0, "offers": both}],
            "lines": [{"supply": 1500.0}, {"supply": None}], "min_share": 0.2, "line_cap": 0.9, "shares": [[0.75, 0.25], [0.0, 1.0]]}
    change = lambda **more: {**base, **more}
    return [
        (None, base),
        ("optimal", change(shares=[[0.7, 0.3], [0.0, 1.0]])),
        ("supply", change(shares=[[0.8, 0.2], [0.0, 1.0]])),
        ("possible", change(shares=[[0.8, 0.2], [0.0, 1.0]])),
        ("zone", change(shares=[[0.75, 0.3], [0.0, 1.0]])),
        ("cap", change(line_cap=0.4)),
        ("least share", change(shares=[[0.75, 0.1], [0.0, 1.0]])),
        ("allowed", change(zones=[{"area_ha": 2.0, "offers": only}, base["zones"][1]])),
    ]


def main():
    """Solves and checks, or proves itself."""
    if sys.argv[1:] == ["--self-test"]:
        by_hand = solve(faults()[0][1])[0]
        if abs(by_hand - 2.25) > 1e-9:
            raise SystemExit(f"the optimum worked by hand is 2.25, HiGHS says {by_hand}")
        self_test(faults(), check)
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    with open(sys.argv[1], encoding="utf-8") as file:
        instance = json.load(file)
    findings = check(instance)
    if "shares" not in instance:
        print(json.dumps({"optimum": findings.optimum, "bound": findings.bound}))
        return
    findings.finish(optimum=findings.optimum, bound=findings.bound, value=findings.value)


if __name__ == "__main__":
    main()
