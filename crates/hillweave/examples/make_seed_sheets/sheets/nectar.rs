//! What the nectar of each tree is in truth, and what one sample of it shows.

use rand_pcg::Pcg64Mcg;
use spatial::seed::TreeRow;

use super::normal::{normal, normals, some};
use super::truth;

/// The nectar of one tree.
pub(crate) struct Nectar {
    /// Normalised DHA in a usual season: mean, stand and tree.
    usual_mg_per_kg: f64,
    /// Sugar a flower.
    sugar_mg: f64,
    /// Whether it was sampled at all.
    pub(crate) is_sampled: bool,
}

/// One sample.
pub(crate) struct Sample {
    /// DHA a flower, µg.
    pub(crate) dha_ug: f64,
    /// Sugar a flower, mg.
    pub(crate) sugar_mg: f64,
}

/// The nectar of every tree.
pub(crate) fn draw(trees: &[TreeRow], chance: &mut Pcg64Mcg) -> Vec<Nectar> {
    let mut stands: Vec<&str> = trees.iter().map(|tree| tree.stand_id.as_str()).collect();
    stands.sort_unstable();
    stands.dedup();
    let of_stands = normals(stands.len(), chance);
    let none = some(truth::NOT_SAMPLED, trees.len(), chance);
    loop {
        let (own, other) = (normals(trees.len(), chance), normals(trees.len(), chance));
        let apart = (1.0 - truth::CORRELATION * truth::CORRELATION).sqrt();
        let nectar = |(at, tree): (usize, &TreeRow)| {
            let stand = stands.binary_search(&tree.stand_id.as_str()).unwrap_or_default();
            let sugar = truth::CORRELATION * own[at] + apart * other[at];
            Nectar {
                usual_mg_per_kg: truth::MEAN
                    + truth::STAND_SD * of_stands[stand]
                    + truth::TREE_SD * own[at],
                sugar_mg: truth::SUGAR_MEAN_MG + truth::SUGAR_TREE_SD_MG * sugar,
                is_sampled: !none.contains(&at),
            }
        };
        let all: Vec<Nectar> = trees.iter().enumerate().map(nectar).collect();
        if all.iter().all(|one| one.usual_mg_per_kg >= truth::LEAST) {
            return all;
        }
    }
}

impl Nectar {
    /// What a sample shows in a season that lies so far beside others.
    pub(crate) fn sample(&self, season_mg_per_kg: f64, chance: &mut Pcg64Mcg) -> Sample {
        let normalised = loop {
            let error = truth::ERROR_SD * normal(chance);
            let found = self.usual_mg_per_kg + season_mg_per_kg + error;
            if found >= truth::LEAST {
                break found;
            }
        };
        let sugar_mg = self.sugar_mg + truth::SUGAR_ERROR_SD_MG * normal(chance);
        let sugar_mg = sugar_mg.max(truth::SUGAR_LEAST_MG);
        // At 80 °Brix a kg holds 800,000 mg of sugar.
        Sample { dha_ug: normalised / 800_000.0 * sugar_mg * 1_000.0, sugar_mg }
    }
}
