#!/usr/bin/env python3
"""Present values, internal rates and annuities by another library.

    ledger.py CASES.json
    ledger.py --self-test

CASES.json: {"flows": [{"cash": [...], "rate", "npv", "rates": [...]}], "annuities": [{"rate", "years",
"factor"}]}; money in any unit, rates as shares a year.

Present values are those of numpy_financial.npv to 1e-9 of the sum of their parts. Rates are those that numpy's
roots of the polynomial give over -1 and real (imaginary part under 1e-6 of the root, each checked by npv; a case
in which two roots lie within 1e-4 of each other is not compared by number); where there is exactly one change of
sign, numpy_financial.irr must agree to 1e-6. Annuity factors are those of numpy_financial.pv to 1e-9. Prints
JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import json

import numpy
import numpy_financial

from findings import Findings, self_test


def size(cash, rate):
    return sum(abs(one) / (1 + rate) ** year for year, one in enumerate(cash))


def changes_of_sign(cash):
    signs = [one > 0 for one in cash if one != 0]
    return sum(a != b for a, b in zip(signs, signs[1:]))


def known_rates(cash):
    """Real rates over -1, rising, from the roots of the polynomial in 1 / (1 + rate); None where two are near."""
    trimmed = numpy.trim_zeros(numpy.array(cash, dtype=float))
    if len(trimmed) < 2:
        return []
    growth = numpy.roots(trimmed)  # in 1 + rate: the first year's cash stands before the highest power
    real = [root.real for root in growth if abs(root.imag) <= 1e-6 * abs(root) and root.real > 0]
    near_real = [root for root in growth if 1e-6 * abs(root) < abs(root.imag) < 1e-3 * abs(root) and root.real > 0]
    rates = sorted(root - 1 for root in real)
    if near_real or any(b - a < 1e-4 for a, b in zip(rates, rates[1:])):
        return None
    return rates


def check(told):
    findings = Findings()
    for at, case in enumerate(told["flows"]):
        cash, rate = case["cash"], case["rate"]
        item = f"case {at}"
        value = numpy_financial.npv(rate, cash)
        findings.close("npv", case["npv"], value, 0, 1e-9 * max(1.0, size(cash, rate)), item)
        for one in case["rates"]:
            worth = numpy_financial.npv(one, cash)
            findings.check("rate", abs(worth) <= 1e-7 * size(cash, one), f"{item}: {one} is worth {worth}")
        rates = known_rates(cash)
        if rates is not None:
            findings.check("number", len(rates) == len(case["rates"]), f"{item}: {case['rates']}, expected {rates}")
        if changes_of_sign(cash) == 1:
            single = numpy_financial.irr(cash)
            if numpy.isfinite(single):
                findings.close("irr", case["rates"][0] if case["rates"] else -9.0, single, 1e-6, 1e-6, item)
    for at, case in enumerate(told["annuities"]):
        value = -numpy_financial.pv(case["rate"], case["years"], 1.0)
        findings.close("annuity", case["factor"], float(value), 1e-9, 1e-9, f"annuity {at}")
    return findings


def proved(change):
    """Findings about figures that are known, one of them moved: 10 % and 20 % by hand, factors from tables."""
    told = {
        "flows": [
            {"cash": [-1000.0, 2300.0, -1320.0], "rate": 0.0, "npv": -20.0, "rates": [0.1, 0.2]},
            {"cash": [-100.0, 110.0], "rate": 0.1, "npv": 0.0, "rates": [0.1]},
        ],
        "annuities": [{"rate": 0.5, "years": 2, "factor": 10 / 9}],
    }
    if change:
        change(told)
    return check(told)


def of_flow(at, key, value):
    return lambda told: told["flows"][at].update({key: value})


FAULTS = [
    (None, None),
    ("npv", of_flow(0, "npv", -20.00001)),
    ("rate", of_flow(0, "rates", [0.1, 0.2001])),
    ("number", of_flow(0, "rates", [0.1])),
    ("irr", of_flow(1, "rates", [0.10001])),
    ("annuity", lambda told: told["annuities"][0].update(factor=1.1112)),
]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", nargs="?")
    parser.add_argument("--self-test", action="store_true")
    said = parser.parse_args()
    if said.self_test:
        self_test(FAULTS, proved)
    with open(said.file, encoding="utf-8") as file:
        check(json.load(file)).finish()


if __name__ == "__main__":
    main()
