#!/usr/bin/env python3
"""The assignment of stock to zones, solved by HiGHS by way of scipy.optimize.milp.

    assignment.py INSTANCES.json
    assignment.py --self-test

Maximise the sum of area x share x worth x (1 - wait)^season, and of area x what is left x left_worth_per_ha, subject
to: the shares of a zone sum to at most 1, to 1 where it must be planted; the plants of a line to at most its supply, in
a season and in all; the hectares of a line to at most line_cap x the area of all zones; the cost to at most the
budgets; the person-days of a season to at most season_days; the plants of a line in a season are 0 or at least min_lot; `weeks` weeks have `least_ha` of the open share of
zones in flower; each share is 0 or at least min_share.

A list of instances, or one:

    {"zones": [{"area_ha": 2.0, "open_share": 1.0, "left_worth_per_ha": 0.0, "must_plant": false,
                "offers": [{"worth_per_ha": 0.9, "plants_per_ha": 1100.0, "cost_per_ha": 900.0, "days_per_ha": 3.0, "weeks": [45, 46]}, null]}],
     "lines": [{"supply": 1500, "by_season": [900, null], "min_lot": 0}, {"supply": null, "by_season": [], "min_lot": 50}],
     "seasons": 2, "wait": 0.03, "budget": null, "season_budget": null, "season_days": null, "flowering": {"weeks": 3, "least_ha": 0.5},
     "min_share": 0.2, "line_cap": 0.6, "given": [[[0, 0, 0.68]]], "gap": 0.001}

`offers` has one entry for each line, null where the line is not allowed; `given` has for each zone its parts: line,
season, share. They are checked: that they keep every limit, and that they are worth the optimum within `gap` (default
1e-6, relative); "given": null says that nothing keeps every rule. `bound`, where given, must not lie below the optimum.
Prints JSON with the optima; exits 0 when all holds, 1 otherwise.
"""

import json
import sys

import numpy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from findings import Findings, self_test

ROOM = 1e-7  # limits may be overdrawn by this, relative
SHORT = 2e-6  # what is asked for may be missed by this, relative
WEEKS = 53


class Columns:
    """One for each zone, line and season that are allowed together."""

    def __init__(self, instance):
        seasons = range(instance["seasons"])
        pairs = [(z, l, s, zone, offer) for z, zone in enumerate(instance["zones"])
                 for l, offer in enumerate(zone["offers"]) if offer is not None for s in seasons]
        each = lambda of, kind: numpy.array([of(*pair) for pair in pairs], dtype=kind)
        left = lambda wait, season: (1 - wait) ** season
        self.zone = each(lambda z, l, s, zone, offer: z, int)
        self.line = each(lambda z, l, s, zone, offer: l, int)
        self.season = each(lambda z, l, s, zone, offer: s, int)
        self.hectares = each(lambda z, l, s, zone, offer: zone["area_ha"], float)
        per_ha = lambda key: each(lambda z, l, s, zone, offer: zone["area_ha"] * offer[key], float)
        self.plants, self.cost, self.days = per_ha("plants_per_ha"), per_ha("cost_per_ha"), per_ha("days_per_ha")
        worth = lambda z, l, s, zone, offer: offer["worth_per_ha"] * left(instance["wait"], s) - zone["left_worth_per_ha"]
        self.worth = each(lambda *pair: pair[3]["area_ha"] * worth(*pair), float)
        self.in_flower = [each(lambda z, l, s, zone, offer, week=week: zone["area_ha"] * zone["open_share"] * (week in offer["weeks"]), float) for week in range(WEEKS)]
        self.base = sum(zone["area_ha"] * zone["left_worth_per_ha"] for zone in instance["zones"])

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
        for season, supply in enumerate(limit["by_season"]):
            if supply is not None:
                yield f"supply of line {line} in season {season}", columns.plants * of_line * (columns.season == season), supply
        yield f"cap of line {line}", columns.hectares * of_line, instance["line_cap"] * area
    if instance["budget"] is not None:
        yield "budget", columns.cost, instance["budget"]
    if instance["season_budget"] is not None:
        for season in range(instance["seasons"]):
            yield f"budget of season {season}", columns.cost * (columns.season == season), instance["season_budget"]
    if instance["season_days"] is not None:
        for season in range(instance["seasons"]):
            yield f"person-days of season {season}", columns.days * (columns.season == season), instance["season_days"]


def lots(instance, columns):
    """Rows of (what, columns' plants, smallest lot)."""
    for line, limit in enumerate(instance["lines"]):
        for season in range(instance["seasons"]):
            if limit["min_lot"] > 0:
                yield f"lot of line {line} in season {season}", columns.plants * (columns.line == line) * (columns.season == season), limit["min_lot"]


def solve(instance):
    """Optimum and proven bound, None when nothing keeps every rule.

    Variables: shares, whether each is above 0, whether each lot is ordered, whether each week counts.
    """
    columns = Columns(instance)
    count, rule = len(columns), instance["flowering"]
    ordered, weeks = list(lots(instance, columns)), WEEKS if rule else 0
    if count == 0:
        fine = not any(zone["must_plant"] for zone in instance["zones"]) and (not rule or rule["weeks"] == 0)
        return (columns.base, columns.base) if fine else (None, None)
    width = 2 * count + len(ordered) + weeks
    rows, low, high = [], [], []

    def add(shares, least, most, switch=None, weight=0.0):
        row = numpy.zeros(width)
        row[:count] = shares
        if switch is not None:
            row[switch] = weight
        rows.append(row)
        low.append(least)
        high.append(most)

    for what, use, limit in limits(instance, columns):
        full = what.startswith("zone") and instance["zones"][int(what.split()[1])]["must_plant"]
        add(use, limit if full else -numpy.inf, limit)
    for at, (_, plants, lot) in enumerate(ordered):
        add(plants / lot, 0.0, numpy.inf, 2 * count + at, -1.0)  # at least a lot when ordered
        add(plants / max(plants.sum(), lot), -numpy.inf, 0.0, 2 * count + at, -1.0)  # nothing when not
    for week in range(weeks):
        add(columns.in_flower[week] / rule["least_ha"], 0.0, numpy.inf, 2 * count + len(ordered) + week, -1.0)
    if rule:
        add(numpy.zeros(count), rule["weeks"], numpy.inf, slice(2 * count + len(ordered), width), 1.0)
    every = numpy.arange(count)
    # share - used <= 0 and min_share x used - share <= 0
    links = coo_array((numpy.concatenate([numpy.ones(count), -numpy.ones(count), -numpy.ones(count), numpy.full(count, instance["min_share"])]),
                       (numpy.concatenate([every, every, every + count, every + count]),
                        numpy.concatenate([every, every + count, every, every + count]))), shape=(2 * count, width))
    constraints = [LinearConstraint(numpy.array(rows), lb=low, ub=high), LinearConstraint(links.tocsc(), ub=0.0)]
    value = numpy.concatenate([-columns.worth, numpy.zeros(width - count)])
    whole = numpy.concatenate([numpy.zeros(count), numpy.ones(width - count)])
    answer = milp(value, integrality=whole, bounds=Bounds(0, 1), constraints=constraints, options={"mip_rel_gap": 1e-9, "time_limit": 120})
    if answer.status == 2:
        return None, None
    if answer.status != 0:
        raise SystemExit(f"HiGHS: {answer.message}")
    optimum, bound = columns.base - answer.fun, columns.base - answer.mip_dual_bound
    if not optimum - 1e-6 <= bound <= optimum + 1e-6 * abs(optimum) + 1e-9:
        raise SystemExit(f"HiGHS: optimum {optimum}, bound {bound}")
    return optimum, bound


def check(instances):
    """The given shares against every limit and against the optimum."""
    findings = Findings()
    findings.optima = []
    for at, instance in enumerate(instances):
        optimum, _ = solve(instance)
        findings.optima.append(optimum)
        if "given" in instance:
            check_given(findings, instance, optimum, at)
    return findings


def check_given(findings, instance, optimum, at):
    """Limits kept, and worth."""
    given = instance["given"]
    findings.check("feasible", (given is None) == (optimum is None), f"instance {at}: {given}, optimum {optimum}")
    if given is None or optimum is None:
        return
    columns = Columns(instance)
    place = {key: index for index, key in enumerate(zip(columns.zone, columns.line, columns.season))}
    shares, least = numpy.zeros(len(columns)), instance["min_share"]
    for zone, parts in enumerate(given):
        for line, season, share in parts:
            findings.check("allowed", (zone, line, season) in place, f"instance {at}: line {line} in zone {zone}")
            if (zone, line, season) in place:
                shares[place[zone, line, season]] += share
    small = (shares != 0) & (shares < least - ROOM)
    findings.check("least share", not small.any() and (shares >= 0).all(), f"instance {at}: shares {shares[small][:5]}")
    for what, use, limit in limits(instance, columns):
        used = float(use @ shares)
        findings.check(what.split()[0], used <= limit * (1 + ROOM) + 1e-9, f"instance {at}, {what}: {used} of {limit}")
        if what.startswith("zone") and instance["zones"][int(what.split()[1])]["must_plant"]:
            findings.check("planted", used >= 1 - SHORT, f"instance {at}, {what}: {used}")
    for what, plants, lot in lots(instance, columns):
        ordered = float(plants @ shares)
        findings.check("lot", ordered <= lot * SHORT or ordered >= lot * (1 - SHORT), f"instance {at}, {what}: {ordered} of {lot}")
    rule = instance["flowering"]
    if rule:
        enough = sum(float(week @ shares) >= rule["least_ha"] * (1 - SHORT) for week in columns.in_flower)
        findings.check("weeks", enough >= rule["weeks"], f"instance {at}: {enough} weeks of {rule['weeks']}")
    value, gap = columns.base + float(columns.worth @ shares), instance.get("gap", 1e-6)
    findings.check("optimal", value >= optimum - gap * abs(optimum) - 1e-9, f"instance {at}: {value}, optimum {optimum}, gap {gap}")
    findings.check("possible", value <= optimum + 1e-5 * abs(optimum) + 1e-9, f"instance {at}: {value} is more than the optimum {optimum}")
    if instance.get("bound") is not None:
        bound = instance["bound"]
        findings.check("bound", bound >= optimum - 3e-6 * abs(optimum) - 1e-9, f"instance {at}: the bound {bound} is below the optimum {optimum}")


def faults():
    """A sound instance, worked by hand, and faulty answers to it.

    Two zones of 2 and 1 ha; line 0 is worth 1.0 a hectare and has plants for 1.5 ha, line 1 is worth 0.5 everywhere.
    Best: line 0 on 1.5 ha, line 1 on the other 1.5 ha: 1.5 + 0.75 = 2.25. Nothing is gained by the second season.
    """
    offer = lambda worth, weeks: {"worth_per_ha": worth, "plants_per_ha": 1000.0, "cost_per_ha": 500.0, "days_per_ha": 2.0, "weeks": weeks}
    both = [offer(1.0, [1, 2]), offer(0.5, [3])]
    only = [None, both[1]]
    zone = lambda area, offers, **more: {"area_ha": area, "open_share": 1.0, "offers": offers, "left_worth_per_ha": 0.0, "must_plant": False, **more}
    line = lambda supply, **more: {"supply": supply, "by_season": [], "min_lot": 0.0, **more}
    base = {"zones": [zone(2.0, both), zone(1.0, both)], "lines": [line(1500.0), line(None)], "seasons": 2, "wait": 0.1,
            "budget": 1600.0, "season_budget": None, "season_days": None, "flowering": {"weeks": 3, "least_ha": 1.0}, "min_share": 0.2, "line_cap": 0.9,
            "given": [[[0, 0, 0.75], [1, 0, 0.25]], [[1, 0, 1.0]]]}
    change = lambda **more: [{**base, **more}]
    return [
        (None, [base]),
        ("optimal", change(given=[[[0, 0, 0.7], [1, 0, 0.3]], [[1, 0, 1.0]]])),
        ("optimal", change(given=[[[0, 0, 0.75], [1, 0, 0.25]], [[1, 1, 1.0]]])),
        ("supply", change(given=[[[0, 0, 0.8], [1, 0, 0.2]], [[1, 0, 1.0]]])),
        ("supply", change(lines=[line(1500.0, by_season=[1400.0, None]), line(None)])),
        ("possible", change(given=[[[0, 0, 0.8], [1, 0, 0.2]], [[1, 0, 1.0]]])),
        ("zone", change(given=[[[0, 0, 0.75], [1, 0, 0.3]], [[1, 0, 1.0]]])),
        ("planted", change(zones=[zone(2.0, both), zone(1.0, both, must_plant=True)], given=[[[0, 0, 0.75], [1, 0, 0.25]], []])),
        ("cap", change(line_cap=0.4)),
        ("budget", change(budget=1400.0)),
        ("person-days", change(season_days=5.9)),
        ("lot", change(lines=[line(1500.0), line(None, min_lot=1600.0)])),
        ("weeks", change(given=[[[0, 0, 0.75], [1, 0, 0.25]], []])),
        ("feasible", change(flowering={"weeks": 4, "least_ha": 1.0})),
        ("feasible", change(given=None)),
        ("least share", change(given=[[[0, 0, 0.75], [1, 0, 0.1]], [[1, 0, 1.0]]])),
        ("weeks", change(zones=[zone(2.0, both), zone(1.0, both, open_share=0.4)])),
        ("bound", change(bound=2.2)),
        ("allowed", change(zones=[zone(2.0, only), base["zones"][1]])),
    ]


def main():
    """Solves and checks, or proves itself."""
    if sys.argv[1:] == ["--self-test"]:
        by_hand = solve(faults()[0][1][0])[0]
        if abs(by_hand - 2.25) > 1e-9:
            raise SystemExit(f"the optimum worked by hand is 2.25, HiGHS says {by_hand}")
        self_test(faults(), check)
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    with open(sys.argv[1], encoding="utf-8") as file:
        instances = json.load(file)
    findings = check(instances if isinstance(instances, list) else [instances])
    findings.finish(optima=findings.optima)


if __name__ == "__main__":
    main()
