//! What trees are worth: shrunken towards their stand and the mean, each with its error.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use tally::{normal_above, normal_quantile};

use super::equations::Factored;
use super::records::Records;
use super::reml::Components;

/// What is known of one tree, in the unit of the records.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TreeValue {
    /// Mean, stand and tree together: what the tree gives in a usual year.
    pub value: f64,
    /// Standard error of `value`.
    pub error: f64,
    /// The tree beside its stand.
    pub deviation: f64,
    /// Standard error of `deviation`.
    pub deviation_error: f64,
    /// Samples of it.
    pub samples: usize,
    /// Mean of its samples less mean, stand and years: its deviation before it is shrunken.
    pub raw_deviation: f64,
}

/// What is known of all.
#[derive(Debug, Clone, PartialEq)]
pub struct Values {
    /// The mean, in the unit of the records.
    pub mean: f64,
    /// Each year beside the mean.
    pub years: Vec<f64>,
    /// Trees as they were given; `None` for those without records.
    pub trees: Vec<Option<TreeValue>>,
}

/// Best linear unbiased predictions under given variances.
///
/// A tree that was sampled n times is drawn towards its stand by n h / (1 + (n − 1) h), h being the
/// repeatability, when stand and mean are known well.
///
/// Cost: O(trees × years). Source: Henderson 1975, Biometrics 31:423 (from memory).
#[must_use]
pub fn values(records: &Records, components: &Components) -> Values {
    let (theta, error) = components.theta(records.scale);
    let factored = Factored::new(records, theta);
    let effects = factored.solve(records);
    let variances = factored.prediction_variances(records);
    let mut trees = vec![None; records.all_trees];
    let scale = records.scale;
    let mut at = 0;
    for (stand, of_stand) in effects.stands.iter().zip(&records.stands) {
        for tree in &records.trees[of_stand.trees.clone()] {
            let (deviation, [value, own]) = (effects.trees[at], variances[tree.group]);
            let years = records.groups[tree.group].cells.iter();
            let of_years: f64 = years.map(|(year, count)| effects.years[*year] * count).sum();
            let raw = (tree.of.sum - of_years) / tree.of.count - effects.mean - stand;
            trees[tree.index] = Some(TreeValue {
                value: records.mean + (effects.mean + stand + deviation) * scale,
                error: (value * error).sqrt() * scale,
                deviation: deviation * scale,
                deviation_error: (own * error).sqrt() * scale,
                samples: tree.of.count as usize,
                raw_deviation: raw * scale,
            });
            at += 1;
        }
    }
    Values {
        mean: records.mean + effects.mean * scale,
        years: effects.years.iter().map(|year| year * scale).collect(),
        trees,
    }
}

/// Chance that no tree's true value is above a mark, as far as the records leave it open.
///
/// Trees share the error of mean, years and stand, so their chances do not multiply: what they share is drawn
/// up to two thousand times, always the same way, and given that each tree is by itself. The variances are taken as
/// known. Cost: O(draws × trees).
#[must_use]
pub fn chance_of_none(records: &Records, components: &Components, above: f64) -> f64 {
    /// Most draws of what trees share, and fewest.
    const DRAWS: [usize; 2] = [2_000, 200];
    /// Draws times trees, to bound the time.
    const WORK: usize = 4_000_000;
    let (theta, error) = components.theta(records.scale);
    let factored = Factored::new(records, theta);
    let effects = factored.solve(records);
    let mark = (above - records.mean) / records.scale;
    let mut of_group: Vec<Vec<f64>> = vec![Vec::new(); records.groups.len()];
    let mut at = 0;
    for (stand, of_stand) in effects.stands.iter().zip(&records.stands) {
        for tree in &records.trees[of_stand.trees.clone()] {
            of_group[tree.group].push(mark - (effects.mean + stand + effects.trees[at]));
            at += 1;
        }
    }
    let mut random = Pcg64::seed_from_u64(1);
    let mut normal = || {
        let side: f64 = random.random_range(-1.0..1.0);
        normal_quantile(side.abs()).unwrap_or(0.0).copysign(side)
    };
    let deviation = error.sqrt();
    let mut total = 0.0;
    let draws = (WORK / records.trees().max(1)).clamp(DRAWS[1], DRAWS[0]);
    for _ in 0..draws {
        let mut none = 1.0;
        factored.draw_shared(records, &mut normal, &mut |group, shift, own| {
            for short in &of_group[group] {
                let left = short - shift * deviation;
                none *= if own > 0.0 {
                    normal_above(-left / (own * deviation))
                } else {
                    f64::from(u8::from(left > 0.0))
                };
            }
        });
        total += none;
    }
    total / draws as f64
}
