//! Which trees become mothers, and what fewer or more would mean.

use serde::Serialize;
use sourcing::select::{
    Candidate, Choice, ChooseError, Rules, chance_of_allele, choose, status_number,
};

use super::super::join::SheetTree;
use crate::problem::Problem;
use crate::site::SeedRules;

/// Frequency of the allele that a trade-off speaks of.
pub(super) const ALLELE: f64 = 0.05;

/// One number of mothers beside others.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TradeOffRow {
    /// Mothers.
    pub mothers: usize,
    /// How many that give alike would hold as much diversity; of mothers that all give alike, as many.
    pub status_number: f64,
    /// Mean worth of their seed beside that of all trees, half of the mothers' own: open-pollinated.
    pub gain_worth: f64,
    /// Gain in normalised DHA, mg/kg at 80 °Brix.
    pub gain_dha_mg_per_kg: f64,
    /// Chance that they hold an allele of frequency 0.05.
    pub allele_chance: f64,
    /// Seedlings that their seed gives within the harvest limit; null where capsules are not known.
    pub seedlings: Option<u64>,
    /// Whether this is the choice.
    pub chosen: bool,
}

/// Why a tree is no mother; `None`: it may be one.
pub(super) fn barred(of: &SheetTree, rules: &SeedRules) -> Option<String> {
    let tree = &of.tree;
    if tree.permission == Some(false) {
        return Some("no permission".to_owned());
    }
    if let Some(vigour) = tree.vigour.filter(|vigour| *vigour < rules.vigour_least) {
        return Some(format!("stunted: vigour {vigour}, below {}", rules.vigour_least));
    }
    if let Some(disease) = tree.disease.filter(|disease| *disease > rules.disease_most) {
        return Some(format!("struggling: disease {disease}, above {}", rules.disease_most));
    }
    (tree.seed_capsules == Some(0)).then(|| "no capsules".to_owned())
}

/// Trees that may become mothers, by their positions on the sheet.
pub(super) struct Eligible {
    trees: Vec<usize>,
    candidates: Vec<Candidate>,
}

impl Eligible {
    pub(super) fn new(
        trees: &[SheetTree],
        worth: &[f64],
        stand_of: &[usize],
        rules: &SeedRules,
    ) -> Self {
        let is_in = |at: &usize| barred(&trees[*at], rules).is_none();
        let eligible: Vec<usize> = (0..trees.len()).filter(is_in).collect();
        let candidate = |at: &usize| Candidate {
            worth: worth[*at],
            stand: stand_of[*at],
            at: trees[*at].tree.at,
        };
        let candidates = eligible.iter().map(candidate).collect();
        Self { trees: eligible, candidates }
    }

    pub(super) fn len(&self) -> usize {
        self.trees.len()
    }

    /// So many mothers under the rules, the best first, by their positions on the sheet.
    pub(super) fn choose(&self, mothers: usize, rules: &SeedRules) -> Result<Choice, ChooseError> {
        let rules = Rules {
            mothers,
            apart_m: rules.apart.0,
            stand_most: rules.stand_most.map(|most| most as usize),
            stand_least: rules.stand_least as usize,
        };
        let mut choice = choose(&self.candidates, &rules)?;
        for at in &mut choice.chosen {
            *at = self.trees[*at];
        }
        Ok(choice)
    }

    /// As many mothers as are wanted, or as many as the rules leave, which is then told.
    pub(super) fn as_many_as(
        &self,
        wanted: usize,
        rules: &SeedRules,
        warnings: &mut Vec<Problem>,
    ) -> Choice {
        let mut asked = wanted.min(self.len());
        let mut found = self.choose(asked, rules);
        if let Err(ChooseError::Stands { needed, .. }) = found {
            warnings.push(raised(needed, asked));
            asked = needed;
            found = self.choose(asked, rules);
        }
        if let Err(ChooseError::Few { found: fewer, .. }) = found
            && fewer < asked
        {
            found = self.choose(fewer, rules);
        }
        let choice = found.unwrap_or_else(|_| {
            // The stands cannot all have their mothers at this distance: the best without.
            if rules.stand_least > 0 && self.len() > 0 {
                warnings.push(unrepresented(rules));
            }
            self.without_stands(wanted, rules)
        });
        if choice.chosen.len() < wanted {
            warnings.push(too_few(choice.chosen.len(), wanted, rules));
        }
        choice
    }

    /// As many mothers as are wanted, or as many as there can be, wherever they stand.
    fn without_stands(&self, wanted: usize, rules: &SeedRules) -> Choice {
        let free = SeedRules { stand_least: 0, ..rules.clone() };
        let mut asked = wanted.min(self.len());
        while asked > 0 {
            match self.choose(asked, &free) {
                Ok(choice) => return choice,
                Err(ChooseError::Few { found, .. }) => asked = found.min(asked - 1),
                Err(_) => asked -= 1,
            }
        }
        Choice { chosen: vec![], worth: 0.0, bound: 0.0 }
    }
}

fn raised(needed: usize, asked: usize) -> Problem {
    Problem::warning("seed.stand_least")
        .found(format!("{needed} mothers, where {asked} were asked for"))
        .expected("as many as represent every stand that was sampled")
        .remedy("lower seed.stand_least for fewer")
}

fn unrepresented(rules: &SeedRules) -> Problem {
    Problem::warning("seed.stand_least")
        .found(format!(
            "stands that cannot have {} mothers {} m from all others",
            rules.stand_least, rules.apart.0
        ))
        .expected("mothers of every stand that was sampled")
        .remedy("lower seed.apart_m or sample more trees there; some stands are not represented")
}

fn too_few(found: usize, wanted: usize, rules: &SeedRules) -> Problem {
    Problem::warning("mothers")
        .found(format!("{found} that keep the rules"))
        .expected(format!("{wanted}, as seed.mothers_least and seed.status_least ask for"))
        .remedy(format!(
            "sample more trees, ask for permission where there is none, or loosen seed.apart_m ({} m), \
             seed.stand_most or the scores that are asked for; fewer mothers hold less of the wild stands' diversity",
            rules.apart.0
        ))
}

/// Numbers of mothers to look at between one a stand and all.
pub(super) fn ladder(most: usize, chosen: usize) -> Vec<usize> {
    let steps = [1, 2, 3, 5, 8, 10, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 300, 500];
    let mut ladder: Vec<usize> = steps.into_iter().filter(|step| *step <= most).collect();
    ladder.extend([chosen].into_iter().filter(|chosen| *chosen > 0));
    ladder.sort_unstable();
    ladder.dedup();
    ladder
}

/// A row of the trade-off. `weights` are what the mothers give, beside each other.
pub(super) fn row(
    mothers: usize,
    weights: &[f64],
    [gain_worth, gain_dha_mg_per_kg]: [f64; 2],
    seedlings: Option<u64>,
    chosen: bool,
) -> TradeOffRow {
    TradeOffRow {
        mothers,
        status_number: status_number(weights),
        gain_worth,
        gain_dha_mg_per_kg,
        allele_chance: chance_of_allele(ALLELE, weights.iter().filter(|one| **one > 0.0).count()),
        seedlings,
        chosen,
    }
}
