#!/usr/bin/env python3
"""Binomial tails, plants to order, intervals of counts: the engine's figures beside those of scipy.

    tally.py FIGURES.json            tails, orders, intervals, quantiles: lists of what was asked and answered
    tally.py --report SURVIVAL.json  what `hillweave survival --json` printed
    tally.py --self-test

Tails by scipy.stats.binom.sf, intervals by binomtest(...).proportion_ci(method="wilson"), quantiles by
norm.isf. An order is right when it makes its target by scipy's reckoning and one plant fewer does not.
Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import json

import scipy.stats

from findings import Findings, self_test

TIE = 1e-9  # an order may go either way where the chance is this near to what was asked
SMALLEST = 1e-290  # below, a double has too few digits to compare


def check(figures):
    """Every figure of every list."""
    findings = Findings()
    for row in figures.get("tails", []):
        expected = float(scipy.stats.binom.sf(row["alive"] - 1, row["plants"], row["survival"]))
        findings.close("tail", row["chance"], expected, 1e-9, SMALLEST, f"{row}")
    for row in figures.get("orders", []):
        chance = lambda plants: float(scipy.stats.binom.sf(row["target"] - 1, plants, row["survival"]))
        enough, fewer = chance(row["plants"]), chance(row["plants"] - 1)
        findings.check("order suffices", enough >= row["confidence"] - TIE, f"{row}: {enough}")
        findings.check("order is least", fewer < row["confidence"] + TIE, f"{row}: one fewer gives {fewer}")
    for row in figures.get("intervals", []):
        test = scipy.stats.binomtest(row["alive"], row["counted"])
        found = test.proportion_ci(confidence_level=row["confidence"], method="wilson")
        findings.close("interval low", row["low"], found.low, 1e-9, 1e-12, f"{row}")
        findings.close("interval high", row["high"], found.high, 1e-9, 1e-12, f"{row}")
    for row in figures.get("quantiles", []):
        expected = float(scipy.stats.norm.isf((1 - row["confidence"]) / 2))
        findings.close("quantile", row["z"], expected, 1e-9, 1e-12, f"{row}")
    return findings


def figures_of(report):
    """Intervals and orders of a survival report, as `check` takes them."""
    rows = report["rows"]
    intervals = [dict(alive=row["alive"], counted=row["counted"], confidence=report["confidence"],
                      low=row["alive_share_low"], high=row["alive_share_high"]) for row in rows if row["counted"]]
    orders = []
    for row in report["orders"]:
        seen = next(one for one in rows if (one["zone_id"], one["stock_id"]) == (row["zone_id"], row["stock_id"]))
        orders.append(dict(target=row["missing"], survival=seen["alive"] / seen["counted"],
                           confidence=report["order_confidence"], plants=row["needed"]))
    return dict(intervals=intervals, orders=orders)


SOUND = dict(
    # 56 / 1024; 1 - 1/16 reaches 0.9 and 1 - 1/8 does not; 8 of 10.
    tails=[dict(plants=10, survival=0.5, alive=8, chance=0.0546875)],
    orders=[dict(target=1, survival=0.5, confidence=0.9, plants=4)],
    intervals=[dict(alive=8, counted=10, confidence=0.95, low=0.4901624715, high=0.9433178485)],
    quantiles=[dict(confidence=0.95, z=1.959963984540054)],
)
FAULTS = [
    (None, None),
    ("tail", ("tails", dict(chance=0.0546876))),
    ("tail", ("tails", dict(chance=float("nan")))),
    ("order suffices", ("orders", dict(plants=3))),
    ("order is least", ("orders", dict(plants=5))),
    ("interval low", ("intervals", dict(low=0.49))),
    ("interval high", ("intervals", dict(high=0.943))),
    ("interval low", ("intervals", dict(alive=7))),
    ("quantile", ("quantiles", dict(z=1.96))),
]


def proved(change):
    """Findings about sound figures with one thing changed."""
    figures = {name: [dict(row) for row in rows] for name, rows in SOUND.items()}
    if change:
        name, values = change
        figures[name][0].update(values)
    return check(figures)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("figures", nargs="?")
    parser.add_argument("--report")
    parser.add_argument("--self-test", action="store_true")
    options = parser.parse_args()
    if options.self_test:
        self_test(FAULTS, proved)
    with open(options.report or options.figures, encoding="utf-8") as file:
        figures = json.load(file)
    if options.report:
        figures = figures_of(figures)
    check(figures).finish(**{name: len(rows) for name, rows in figures.items()})


if __name__ == "__main__":
    main()
