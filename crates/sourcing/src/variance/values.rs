//! What trees are worth: shrunken towards their stand and the mean, each with its error.

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
