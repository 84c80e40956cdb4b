//! How much of the spread lies where: restricted maximum likelihood.

use std::f64::consts::PI;

use nalgebra::DMatrix;

use super::equations::{Factored, Theta};
use super::records::Records;
use super::simplex::lowest;

/// Variances of the effects, in the square of the unit of the records; `None` for an effect that the
/// records cannot tell of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Components {
    /// Between trees of a stand; `None` when no tree was sampled twice.
    pub tree: Option<f64>,
    /// Between stands; `None` for one stand, or one tree a stand.
    pub stand: Option<f64>,
    /// Between years; `None` when no stand was sampled in two.
    pub year: Option<f64>,
    /// The rest: flowers, sampling, laboratory, and what a tree does in one year alone. With no tree
    /// sampled twice, what lies between trees is in it too.
    pub error: f64,
}

/// A fit by restricted maximum likelihood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitted {
    /// The variances.
    pub components: Components,
    /// Standard errors of the variances from the curvature of the likelihood; `None` where there is no
    /// such effect, or its variance is 0 and the likelihood has no curvature to go by.
    pub errors: ComponentErrors,
    /// The mean, in the unit of the records.
    pub mean: f64,
    /// Its standard error.
    pub mean_error: f64,
    /// Twice the negative logarithm of the restricted likelihood, up to a constant that depends on the
    /// unit of the records alone.
    pub deviance: f64,
}

/// Standard errors of [`Components`].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ComponentErrors {
    /// Of that between trees.
    pub tree: Option<f64>,
    /// Of that between stands.
    pub stand: Option<f64>,
    /// Of that between years.
    pub year: Option<f64>,
    /// Of the rest.
    pub error: Option<f64>,
}

impl Components {
    /// Share of the variance within a stand and year that lies between trees: how alike two samples of one
    /// tree are. `None` when no tree was sampled twice.
    #[must_use]
    pub fn repeatability(&self) -> Option<f64> {
        self.tree.map(|tree| tree / (tree + self.error)).filter(|share| share.is_finite())
    }

    /// All variance of one record.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.tree.unwrap_or(0.0) + self.stand.unwrap_or(0.0) + self.year.unwrap_or(0.0) + self.error
    }

    /// With the error parted into trees and the rest by a repeatability that is known from elsewhere; as
    /// they are when the records tell it themselves.
    #[must_use]
    pub fn parted_by(self, repeatability: f64) -> Self {
        match self.tree {
            Some(_) => self,
            None => Self {
                tree: Some(self.error * repeatability),
                error: self.error * (1.0 - repeatability),
                ..self
            },
        }
    }

    pub(super) fn theta(&self, scale: f64) -> (Theta, f64) {
        // An error of nothing would leave nothing to divide by.
        let error = self.error.max(1e-10 * self.total()).max(f64::MIN_POSITIVE);
        let root = |variance: Option<f64>| (variance.unwrap_or(0.0) / error).sqrt();
        let theta = Theta { tree: root(self.tree), stand: root(self.stand), year: root(self.year) };
        (theta, error / (scale * scale))
    }
}

/// Which effects there are.
#[derive(Clone, Copy)]
struct Effects {
    tree: bool,
    stand: bool,
    year: bool,
}

impl Effects {
    fn count(self) -> usize {
        usize::from(self.tree) + usize::from(self.stand) + usize::from(self.year)
    }

    /// The likelihood is the same for θ and −θ, so the search need not mind 0.
    fn theta(self, point: &[f64]) -> Theta {
        let mut next = point.iter().map(|theta| theta.abs());
        let mut take = |is_there: bool| if is_there { next.next().unwrap_or(0.0) } else { 0.0 };
        Theta { tree: take(self.tree), stand: take(self.stand), year: take(self.year) }
    }
}

/// Fits the variances by restricted maximum likelihood. Balanced records give what an analysis of
/// variance gives, wherever that is not negative.
///
/// Cost: some thousands of passes over the groups of trees that were sampled alike.
///
/// Source: Patterson & Thompson 1971, Biometrika 58:545; the deviance with the error's variance taken
/// out as in Bates et al. 2015, J. Statistical Software 67(1), section 3.4 (both from memory).
#[must_use]
pub fn reml(records: &Records) -> Fitted {
    let effects =
        Effects { tree: records.has_repeats, stand: records.has_stands, year: records.has_years };
    let deviance = |point: &[f64]| {
        if point.iter().any(|theta| theta.abs() > 1e4) {
            return f64::INFINITY;
        }
        profiled(records, &Factored::new(records, effects.theta(point)))
    };
    let dimensions = effects.count();
    let mut point = Vec::new();
    if dimensions > 0 {
        let starts = [1.0, 0.3, 3.0].map(|theta| vec![theta; dimensions]);
        let found = starts.iter().map(|start| lowest(&deviance, start, 0.5));
        point =
            found.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(point, _)| point).unwrap_or_default();
        drop_what_is_nothing(&mut point, &deviance);
    }
    let theta = effects.theta(&point);
    let factored = Factored::new(records, theta);
    let unit = records.scale * records.scale;
    let error = factored.left() / (records.count - 1.0) * unit;
    let of = |is_there: bool, theta: f64| is_there.then_some(theta * theta * error);
    let components = Components {
        tree: of(effects.tree, theta.tree),
        stand: of(effects.stand, theta.stand),
        year: of(effects.year, theta.year),
        error,
    };
    let solved = factored.solve(records);
    Fitted {
        components,
        errors: standard_errors(records, effects, &components),
        mean: records.mean + solved.mean * records.scale,
        mean_error: error.sqrt() / factored.mean_pivot(),
        deviance: profiled(records, &factored),
    }
}

/// Sets to 0 what the search has left near it, where that is no worse.
fn drop_what_is_nothing(point: &mut [f64], deviance: &dyn Fn(&[f64]) -> f64) {
    for axis in 0..point.len() {
        let kept = point[axis];
        let before = deviance(point);
        point[axis] = 0.0;
        if deviance(point) > before + 1e-9 {
            point[axis] = kept;
        }
    }
}

/// The deviance with the variance of the error at its best.
fn profiled(records: &Records, factored: &Factored) -> f64 {
    let free = records.count - 1.0;
    factored.log_determinant()
        + 2.0 * factored.mean_pivot().ln()
        + free * (1.0 + (2.0 * PI * factored.left() / free).ln())
}

/// The deviance of given variances, on the scale of the records: tree, stand, year, error.
fn deviance_of(records: &Records, variances: [f64; 4]) -> f64 {
    let [tree, stand, year, error] = variances;
    let root = |variance: f64| (variance.max(0.0) / error).sqrt();
    let theta = Theta { tree: root(tree), stand: root(stand), year: root(year) };
    let factored = Factored::new(records, theta);
    factored.log_determinant()
        + 2.0 * factored.mean_pivot().ln()
        + (records.count - 1.0) * (2.0 * PI * error).ln()
        + factored.left() / error
}

/// Standard errors: the inverse of half the matrix of second derivatives of the deviance, taken by
/// central differences, of those variances that are over 0.
fn standard_errors(records: &Records, effects: Effects, found: &Components) -> ComponentErrors {
    let unit = records.scale * records.scale;
    let variances = [found.tree, found.stand, found.year, Some(found.error)]
        .map(|one| one.unwrap_or(0.0) / unit);
    let there = [effects.tree, effects.stand, effects.year, true];
    let total: f64 = variances.iter().sum();
    let free: Vec<usize> =
        (0..4).filter(|at| there[*at] && variances[*at] > 1e-6 * total).collect();
    let step = |at: usize| 1e-3 * variances[at];
    let moved = |moves: &[(usize, f64)]| {
        let mut all = variances;
        for (at, by) in moves {
            all[*at] += by * step(*at);
        }
        deviance_of(records, all)
    };
    let middle = moved(&[]);
    let curvature = DMatrix::from_fn(free.len(), free.len(), |row, column| {
        let (a, b) = (free[row], free[column]);
        let second = if a == b {
            moved(&[(a, 1.0)]) - 2.0 * middle + moved(&[(a, -1.0)])
        } else {
            (moved(&[(a, 1.0), (b, 1.0)])
                - moved(&[(a, 1.0), (b, -1.0)])
                - moved(&[(a, -1.0), (b, 1.0)])
                + moved(&[(a, -1.0), (b, -1.0)]))
                / 4.0
        };
        second / (step(a) * step(b)) / 2.0
    });
    let inverse = curvature.try_inverse();
    let error_of = |at: usize| {
        let place = free.iter().position(|one| *one == at)?;
        let variance = inverse.as_ref()?[(place, place)];
        (variance > 0.0).then(|| variance.sqrt() * unit)
    };
    ComponentErrors { tree: error_of(0), stand: error_of(1), year: error_of(2), error: error_of(3) }
}
