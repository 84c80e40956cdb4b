//! Traits of trees: their records, where their spread lies, and what each tree is worth.

use sourcing::variance::{
    Components, Fitted, Record, Records, RecordsError, Values, chance_of_none, reml, values,
};
use stock::nectar::DhaRatio;

use super::super::join::SheetTree;
use crate::site::{SeedRules, TraitRule};

/// The trait that is always looked into.
pub(super) const DHA: &str = "dha";
/// Sugar of a sample, in the unit of the lab sheet.
pub(super) const SUGAR: &str = "sugar";

/// Years and stands of the trees of a sheet.
#[derive(Debug, Clone)]
pub(super) struct Setting<'a> {
    pub(super) trees: &'a [SheetTree],
    /// Stand of each tree, counted from 0; trees in none share the last.
    pub(super) stand_of: Vec<usize>,
    /// Flowering seasons in which samples were taken, in order.
    pub(super) seasons: Vec<i32>,
}

/// One trait.
#[derive(Debug, Clone)]
pub(super) struct TraitFit {
    pub(super) name: String,
    pub(super) records: usize,
    gathered: Records,
    pub(super) fitted: Fitted,
    /// With the error parted by the site's repeatability where the sheet cannot tell.
    pub(super) parted: Components,
    pub(super) values: Values,
}

impl<'a> Setting<'a> {
    /// `stand_of` as [`on_property`](super::super::on_property()) has it.
    pub(super) fn new(trees: &'a [SheetTree], stand_of: &[Option<usize>]) -> Self {
        let none = stand_of.iter().flatten().max().map_or(0, |last| last + 1);
        let mut seasons: Vec<i32> =
            trees.iter().flat_map(|tree| &tree.samples).map(|sample| sample.season).collect();
        seasons.sort_unstable();
        seasons.dedup();
        let stand_of = stand_of.iter().map(|stand| stand.unwrap_or(none)).collect();
        Self { trees, stand_of, seasons }
    }

    /// Every record of a trait: of nectar one a sample, of the field sheet one a tree.
    fn records(&self, name: &str) -> Vec<Record> {
        let mut records = Vec::new();
        for (tree, of) in self.trees.iter().enumerate() {
            if let Some(value) = score(of, name) {
                records.push(Record { tree, year: 0, value });
            }
            for sample in &of.samples {
                let value = match name {
                    DHA => normalised(sample.ratio),
                    SUGAR => sample.sugar.map(|(amount, _)| amount),
                    _ => None,
                };
                let year = self.seasons.binary_search(&sample.season).unwrap_or_default();
                records.extend(value.map(|value| Record { tree, year, value }));
            }
        }
        records
    }

    /// Looks into a trait.
    pub(super) fn fit(&self, name: &str, rules: &SeedRules) -> Result<TraitFit, RecordsError> {
        let records = self.records(name);
        let gathered = Records::new(&records, &self.stand_of, self.seasons.len().max(1))?;
        let fitted = reml(&gathered);
        let parted = fitted.components.parted_by(rules.repeatability);
        Ok(TraitFit {
            name: name.to_owned(),
            records: records.len(),
            values: values(&gathered, &parted),
            fitted,
            parted,
            gathered,
        })
    }
}

impl TraitFit {
    /// Chance that no tree is truly above a mark.
    pub(super) fn chance_of_none(&self, above: f64) -> f64 {
        chance_of_none(&self.gathered, &self.parted, above)
    }

    /// The trait as selection takes it.
    pub(super) fn for_selection(&self, rule: &TraitRule) -> sourcing::select::Trait {
        sourcing::select::Trait {
            between: self.parted.tree.unwrap_or(0.0),
            error: self.parted.error,
            heritability: rule.heritability,
            worth: rule.worth,
        }
    }

    /// What a tree's records say beside its stand, and how many they are.
    pub(super) fn deviation(&self, tree: usize) -> Option<(f64, u32)> {
        let value = self.values.trees.get(tree).copied().flatten()?;
        Some((value.raw_deviation, value.samples as u32))
    }
}

/// A score of the field sheet; `None` for nectar, and where nothing was written.
fn score(of: &SheetTree, name: &str) -> Option<f64> {
    let tree = &of.tree;
    let small = |score: Option<u8>| score.map(f64::from);
    match name {
        "vigour" => small(tree.vigour),
        "form" => small(tree.form),
        "flower_number" => small(tree.flower_number),
        "flower_quality" => small(tree.flower_quality),
        "seed_capsules" => tree.seed_capsules.map(f64::from),
        "disease" => small(tree.disease),
        _ => None,
    }
}

/// DHA at 80 °Brix, mg/kg.
pub(super) fn normalised(ratio: f64) -> Option<f64> {
    DhaRatio::new(ratio).map(|ratio| ratio.normalised().mg_per_kg())
}
