//! What trees hand down: the index of the traits that the site names, and DHA by itself.

use nalgebra::DMatrix;
use sourcing::select::{Aim, Breeding, Index, Inheritance, Trait};
use sourcing::variance::correlation;

use super::traits::TraitFit;
use crate::problem::Problem;
use crate::site::{IndexBy, SeedRules, TraitRule};

/// Fewest trees with both traits for a correlation to be heard; below, they count as unrelated. Our choice.
const LEAST_PAIRS: usize = 10;

/// Traits that make up the index.
pub(super) struct Indexed<'a> {
    /// Each with its rule, in the order of the site.
    pub(super) traits: Vec<(&'a TraitFit, &'a TraitRule)>,
    /// `None` when no trait differs between trees: then all are worth the same.
    breeding: Option<Breeding>,
}

impl<'a> Indexed<'a> {
    /// Puts the traits together; those that do not differ between trees are left out, and told.
    pub(super) fn new(
        fits: &'a [TraitFit],
        rules: &'a SeedRules,
        warnings: &mut Vec<Problem>,
    ) -> Self {
        let mut traits = Vec::new();
        for rule in &rules.traits {
            let Some(fit) = fits.iter().find(|fit| fit.name == rule.name) else { continue };
            let of = fit.for_selection(rule);
            if of.between > 1e-9 * fit.parted.total() {
                traits.push((fit, rule));
                continue;
            }
            warnings.push(left_out(
                &rule.name,
                "no difference between trees beyond that of samples of one tree",
                "sample more trees, or each again; until then it does not count",
            ));
        }
        let correlation = correlations(&traits);
        let of: Vec<Trait> = traits.iter().map(|(fit, rule)| fit.for_selection(rule)).collect();
        let index = || Breeding::new(&of, &correlation, aim(rules)).ok();
        let breeding = if of.is_empty() { None } else { index() };
        if breeding.is_none() && !traits.is_empty() {
            warnings.push(left_out(
                "seed.trait",
                "traits that tell the same, so that they make no index",
                "take one of them out; until then all trees count alike",
            ));
        }
        Self { traits, breeding }
    }

    /// The index of a tree with one record of each trait.
    pub(super) fn index(&self) -> Option<&Index> {
        self.breeding.as_ref().map(Breeding::index)
    }

    /// What each tree hands down, as they were given.
    pub(super) fn trees(&mut self, count: usize) -> Vec<Inheritance> {
        let traits = &self.traits;
        let breeding = &mut self.breeding;
        let one = |tree: usize| match breeding {
            Some(breeding) => {
                let records: Vec<_> = traits.iter().map(|(fit, _)| fit.deviation(tree)).collect();
                breeding.of(&records)
            }
            None => Inheritance { breeding: vec![], worth: 0.0, worth_variance: 0.0 },
        };
        (0..count).map(one).collect()
    }
}

fn aim(rules: &SeedRules) -> Aim {
    match rules.index_by {
        IndexBy::Weights => Aim::Weights,
        IndexBy::Gains => Aim::Gains,
    }
}

/// Correlations between trees of a stand, by what their records say; drawn towards none until they go
/// together.
fn correlations(traits: &[(&TraitFit, &TraitRule)]) -> DMatrix<f64> {
    let count = traits.len();
    let mut found = DMatrix::identity(count, count);
    for a in 0..count {
        for b in 0..a {
            let trees = 0..traits[a].0.values.trees.len();
            let pair = |tree: usize| {
                let (one, _) = traits[a].0.deviation(tree)?;
                Some((one, traits[b].0.deviation(tree)?.0))
            };
            let pairs: Vec<(f64, f64)> = trees.filter_map(pair).collect();
            let r = correlation(&pairs, 0.95).filter(|_| pairs.len() >= LEAST_PAIRS);
            let r = r.map_or(0.0, |one| one.r);
            (found[(a, b)], found[(b, a)]) = (r, r);
        }
    }
    let unrelated = DMatrix::identity(count, count);
    let mut mixed = found.clone();
    for tenths in 0..=10 {
        let share = f64::from(tenths) / 10.0;
        mixed = &found * (1.0 - share) + &unrelated * share;
        let sound = mixed.clone().cholesky();
        if sound.is_some_and(|one| one.l().diagonal().iter().all(|pivot| *pivot > 1e-3)) {
            break;
        }
    }
    mixed
}

/// Gain of one trait by its own records: of seed of these mothers beside seed of all trees of their stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gain {
    pub(super) expected: f64,
    pub(super) low: f64,
    pub(super) high: f64,
}

/// Half the mean of the mothers' breeding values: open-pollinated seed has its other half from anywhere.
///
/// `low` and `high`: 95 % of what the records leave open, at half the heritability and at the most that
/// repeatability allows.
pub(super) fn gain(fit: &TraitFit, rule: &TraitRule, mothers: &[(usize, f64)]) -> Gain {
    /// Deviations that hold 95 % of a normal distribution.
    const Q: f64 = 1.959_964;
    let total: f64 = mothers.iter().map(|(_, weight)| weight).sum();
    let own = fit.for_selection(rule);
    let at = |heritability: f64| {
        let of = Trait { heritability, worth: own.between.sqrt(), ..own };
        let Ok(mut breeding) = Breeding::new(&[of], &DMatrix::identity(1, 1), Aim::Weights) else {
            return (0.0, 0.0);
        };
        let (mut mean, mut variance) = (0.0, 0.0);
        for (tree, weight) in mothers {
            let share = weight / total;
            let inherits = breeding.of(&[fit.deviation(*tree)]);
            mean += share * inherits.worth / 2.0;
            variance += share * share * inherits.worth_variance / 4.0;
        }
        (mean, variance.sqrt())
    };
    if own.between <= 0.0 || total <= 0.0 {
        return Gain { expected: 0.0, low: 0.0, high: 0.0 };
    }
    let least = at(own.genetic_share() / 2.0);
    let most = at(own.repeatability());
    let ends =
        [least.0 - Q * least.1, most.0 - Q * most.1, least.0 + Q * least.1, most.0 + Q * most.1];
    Gain {
        expected: at(own.heritability).0,
        low: ends.iter().copied().fold(f64::INFINITY, f64::min),
        high: ends.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    }
}

/// A trait that does not count.
pub(super) fn left_out(name: &str, found: &str, remedy: &str) -> Problem {
    Problem::warning(name)
        .found(found)
        .expected("a trait that differs between trees")
        .remedy(remedy)
}
