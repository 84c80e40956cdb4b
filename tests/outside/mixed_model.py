#!/usr/bin/env python3
"""Variances, mean and values of trees by another implementation of the mixed model.

    mixed_model.py CASES.json
    mixed_model.py --self-test

CASES.json: {"cases": [{"name", "records": [{"tree", "stand", "year", "value"}], "found": {"tree", "stand",
"year", "error", "mean", "mean_error", "deviations": {tree: prediction}}}]}, variances in the square of the unit
of the values, null for an effect that the model does not have.

Each case is fitted anew by restricted maximum likelihood with MixedLM of statsmodels: trees alone as groups,
otherwise trees, stands and years as variance components of one group that holds all records. Its own searches
stop early where the likelihood is flat (on the sample sheets up to 3e-3 of a variance apart from each other);
so the search goes on from there over its likelihood with Nelder and Mead's simplex from scipy.

Tolerances: likelihood 1e-8; variances 1e-5 of themselves, or 1e-8 of the total where near 0; mean, its error
and predictions 1e-5 of the standard deviation of the records, published figures being rounded to that. Where
the best variance is 0, statsmodels is held a hair above, as it divides by variances. Prints JSON; exits 0 when
all holds, 1 otherwise.
"""

import argparse
import json
import warnings

import numpy
import pandas
import scipy.optimize
from statsmodels.regression.mixed_linear_model import MixedLM, MixedLMParams
from statsmodels.tools.sm_exceptions import ConvergenceWarning

from findings import Findings, self_test

EFFECTS = ["stand", "tree", "year"]  # as statsmodels sorts them
NOTHING = 1e-10  # over the variance of the error: statsmodels divides by variances, so 0 stands a hair above


class Model:
    """A mixed model of one case, on values of mean 0 and deviation 1."""

    def __init__(self, records, effects):
        table = pandas.DataFrame(records).astype({"tree": str, "stand": str, "year": str})
        self.effects, self.shift, self.scale = effects, table["value"].mean(), table["value"].std()
        table["scaled"] = (table["value"] - self.shift) / self.scale
        table["all"] = 1
        self.by_groups = effects == ["tree"]
        if self.by_groups:
            self.model = MixedLM.from_formula("scaled ~ 1", table, groups="tree")
        else:
            parts = {effect: f"0 + C({effect})" for effect in effects}
            self.model = MixedLM.from_formula("scaled ~ 1", table, groups="all", re_formula="0", vc_formula=parts)

    def params(self, shares, mean=0.0):
        """Parameters of statsmodels from variances over that of the error."""
        shares = numpy.maximum(numpy.asarray(shares, dtype=float), NOTHING)
        if self.by_groups:
            return MixedLMParams.from_components(fe_params=numpy.array([mean]), cov_re=shares.reshape(1, 1))
        return MixedLMParams.from_components(fe_params=numpy.array([mean]), cov_re=numpy.zeros((0, 0)), vcomp=shares)

    def likelihood(self, shares):
        """Log of the restricted likelihood, mean and variance of the error at their best."""
        return float(self.model.loglike(self.params(shares), profile_fe=True))

    def fit(self):
        """Variances of effects and error, mean, its error and predictions, in the unit of the values."""
        starts = []
        for method in ("nm", "powell"):
            fitted = self.model.fit(reml=True, method=[method], maxiter=500)
            shares = fitted.cov_re.values.ravel() / fitted.scale if self.by_groups else fitted.vcomp / fitted.scale
            starts.append(numpy.sqrt(numpy.maximum(shares, 0.0)))
        lost = lambda roots: -self.likelihood(roots**2)
        ends = [
            scipy.optimize.minimize(lost, start + 0.01, method="Nelder-Mead", options=dict(xatol=1e-7, fatol=1e-11, maxiter=2000))
            for start in starts
        ]
        best = min(ends, key=lambda end: end.fun)
        roots = best.x.copy()
        for at in range(len(roots)):  # what is nothing is nothing
            without = numpy.where(numpy.arange(len(roots)) == at, 0.0, roots)
            if lost(without) <= lost(roots) + 1e-9:
                roots = without
        return self.at(roots**2)

    def at(self, shares):
        """The same at given variances over that of the error."""
        model = self.model
        mean, *_ = model.get_fe_params(self.params(shares).cov_re, numpy.maximum([] if self.by_groups else shares, NOTHING))
        held = self.params(shares, float(numpy.ravel(mean)[0]))
        scale = float(model.get_scale(held.fe_params, held.cov_re, held.vcomp))
        of = {effect: float(share) * scale * self.scale**2 for effect, share in zip(self.effects, shares)}
        deviations, precision = self.predictions(held, scale)
        return dict(
            of, error=scale * self.scale**2, mean=self.shift + float(held.fe_params[0]) * self.scale,
            mean_error=self.scale / precision**0.5, deviations={t: d * self.scale for t, d in deviations.items()},
            likelihood=self.likelihood(shares),
        )

    def predictions(self, held, scale):
        """Predictions of trees from the design matrices of statsmodels, whole, and the precision of the mean."""
        model, deviations, precision = self.model, {}, 0.0
        for at, group in enumerate(model.group_labels):
            y, x = model.endog_li[at], model.exog_li[at]
            if self.by_groups:
                blocks = [(numpy.ones((len(y), 1)), [group], held.cov_re[0, 0])]
            else:
                blocks = [
                    (model.exog_vc.mats[part][at], model.exog_vc.colnames[part][at], held.vcomp[part])
                    for part in range(len(self.effects))
                ]
            cover = scale * (numpy.eye(len(y)) + sum(share * z @ z.T for z, _, share in blocks))
            precision += float((x.T @ numpy.linalg.solve(cover, x))[0, 0])
            off = numpy.linalg.solve(cover, y - x @ held.fe_params)
            of_trees = 0 if self.by_groups else self.effects.index("tree") if "tree" in self.effects else None
            if of_trees is not None:
                z, names, share = blocks[of_trees]
                names = [name if self.by_groups else name.split("[")[1].rstrip("]") for name in names]
                deviations.update(zip(names, scale * share * (z.T @ off)))
        return deviations, precision


def check(cases):
    """Every case against a fit of its own."""
    findings = Findings()
    warnings.simplefilter("ignore", ConvergenceWarning)  # of a variance at 0
    warnings.simplefilter("ignore", UserWarning)
    apart = {}
    for case in cases:
        found, name = case["found"], case["name"]
        effects = [effect for effect in EFFECTS if found[effect] is not None]
        model = Model(case["records"], effects)
        mine = model.fit()
        total = sum(found[effect] for effect in effects) + found["error"]
        shares = [found[effect] / found["error"] for effect in effects]
        gap = model.likelihood(shares) - mine["likelihood"]
        findings.close("likelihood", gap, 0.0, 0, 1e-8, name)
        for part in [*effects, "error"]:
            findings.close(part, found[part], mine[part], 1e-5, 1e-8 * total, name)
        for part in ("mean", "mean_error"):
            findings.close(part, found[part], mine[part], 0, 1e-5 * model.scale, name)
        same = set(found["deviations"]) == set(mine["deviations"]) or "tree" not in effects
        findings.check("every tree", same, f"{name}: {set(found['deviations']) ^ set(mine['deviations'])}")
        same_trees = sorted(set(found["deviations"]) & set(mine["deviations"]))
        for tree in same_trees:
            findings.close("prediction", found["deviations"][tree], mine["deviations"][tree], 0, 1e-5 * model.scale, f"{name} {tree}")
        apart[name] = dict(
            likelihood=gap, **{part: found[part] / mine[part] - 1 if mine[part] > 1e-6 * total else 0.0 for part in [*effects, "error"]},
            mean=(found["mean"] - mine["mean"]) / model.scale,
            prediction=max([abs(found["deviations"][t] - mine["deviations"][t]) / model.scale for t in same_trees], default=0),
        )
    return findings, apart


# Yield of dyestuff of six batches: Davies & Goldsmith 1972, Statistical Methods in Research and Production.
DYESTUFF = [
    [1545, 1440, 1440, 1520, 1580], [1540, 1555, 1490, 1560, 1495], [1595, 1550, 1605, 1510, 1560],
    [1445, 1440, 1595, 1465, 1545], [1595, 1630, 1515, 1635, 1625], [1520, 1455, 1450, 1480, 1445],
]


def dyestuff():
    """The published fit, variances 1764.05 and 2451.25; predictions by the closed form of balanced records."""
    values = numpy.array(DYESTUFF, dtype=float)
    records = [dict(tree=f"B{b}", stand="S", year="Y", value=v) for b, row in enumerate(DYESTUFF) for v in row]
    drawn = 1764.05 / (1764.05 + 2451.25 / 5) * (values.mean(1) - values.mean())
    found = dict(tree=1764.05, stand=None, year=None, error=2451.25, mean=1527.5, mean_error=19.3834)
    return dict(name="dyestuff", records=records, found=dict(found, deviations={f"B{b}": float(d) for b, d in enumerate(drawn)}))


def balanced():
    """Three trees in each of five stands, each in four years: variances by analysis of variance."""
    stands, trees, years = 5, 3, 4
    s, t, y = numpy.meshgrid(range(stands), range(trees), range(years), indexing="ij")
    value = 20 + 3.0 * ((s * 7) % 5 - 2) + 2.0 * ((s * 5 + t * 3) % 7 - 3) + 1.5 * ((y * 3) % 4) + ((s * 11 + t * 5 + y * 7) % 6 - 2.5)
    mean, of_stand, of_tree, of_year = value.mean(), value.mean((1, 2)), value.mean(2), value.mean((0, 1))
    ms_stand = trees * years * ((of_stand - mean) ** 2).sum() / (stands - 1)
    ms_tree = years * ((of_tree - of_stand[:, None]) ** 2).sum() / (stands * (trees - 1))
    ms_year = stands * trees * ((of_year - mean) ** 2).sum() / (years - 1)
    left = value - of_tree[:, :, None] - of_year + mean
    error = (left**2).sum() / ((stands * trees - 1) * (years - 1))
    tree, stand, year = (ms_tree - error) / years, (ms_stand - ms_tree) / (trees * years), (ms_year - error) / (stands * trees)
    assert min(tree, stand, year) > 0
    within = tree / (tree + error / years) * (of_tree - of_stand[:, None])
    between = tree / trees / (stand + tree / trees + error / (trees * years)) * (of_stand - mean)
    drawn = within + between[:, None]
    at = [(i, j) for i in range(stands) for j in range(trees)]
    records = [dict(tree=f"T{i}{j}", stand=f"S{i}", year=f"Y{k}", value=float(value[i, j, k])) for i, j in at for k in range(years)]
    found = dict(tree=tree, stand=stand, year=year, error=error, mean=mean, mean_error=((ms_stand + ms_year - error) / value.size) ** 0.5)
    return dict(name="balanced", records=records, found=dict(found, deviations={f"T{i}{j}": float(drawn[i, j]) for i, j in at}))


def proved(change):
    """Findings about two cases whose answers are known, one figure of the one or the other moved."""
    cases = {case["name"]: case for case in (dyestuff(), balanced())}
    if change:
        name, part, by = change
        found = cases[name]["found"]
        if part == "deviations":
            tree = next(iter(found[part]))
            found[part][tree] = found[part][tree] + by
        elif part == "lost":
            found["deviations"].pop(by)
        else:
            found[part] *= by
    return check(cases.values())[0]


FAULTS = [
    (None, None),
    ("likelihood", ("dyestuff", "tree", 1.02)),
    ("tree", ("dyestuff", "tree", 1.0002)),
    ("tree", ("balanced", "tree", 0.9998)),
    ("stand", ("balanced", "stand", 1.0002)),
    ("year", ("balanced", "year", 1.0002)),
    ("error", ("dyestuff", "error", 0.9998)),
    ("error", ("balanced", "error", 1.0002)),
    ("mean", ("dyestuff", "mean", 1.00001)),
    ("mean_error", ("balanced", "mean_error", 1.001)),
    ("every tree", ("balanced", "lost", "T00")),
    ("prediction", ("dyestuff", "deviations", 0.01)),
    ("prediction", ("balanced", "deviations", -0.001)),
]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", nargs="?")
    parser.add_argument("--self-test", action="store_true")
    said = parser.parse_args()
    if said.self_test:
        self_test(FAULTS, proved)
    with open(said.file, encoding="utf-8") as file:
        findings, apart = check(json.load(file)["cases"])
    findings.finish(apart=apart)


if __name__ == "__main__":
    main()
