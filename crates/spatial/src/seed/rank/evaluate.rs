//! Trees valued, mothers chosen and their harvest shared out: from the sheets alone.

use sourcing::raise::{Calendar, Month, calendar};
use sourcing::select::{Index, Inheritance};
use sourcing::variance::{Correlation, RecordsError, correlation};

use super::super::join::SheetTree;
use super::inherit::{Gain, Indexed, gain, left_out};
use super::mothers::{Eligible, TradeOffRow, ladder, row};
use super::raising::{Harvest, harvest};
use super::traits::{DHA, SUGAR, Setting, TraitFit};
use crate::problem::Problem;
use crate::site::{SeedRules, TraitRule};

/// What the sheets say of the trees.
#[derive(Debug, Clone)]
pub struct Evaluated {
    /// Nectar DHA, mg/kg at 80 °Brix.
    pub(super) dha: TraitFit,
    /// The other traits of the index.
    pub(super) others: Vec<TraitFit>,
    /// Chance that no tree is outstanding.
    pub(super) chance_of_none: f64,
    pub(super) dha_sugar: Option<Correlation>,
    pub(super) seasons: Vec<i32>,
    pub(super) stands: usize,
    /// What each tree hands down.
    pub(super) inherits: Vec<Inheritance>,
    pub(super) index: Option<Index>,
    /// Names of the traits in the index, in its order.
    pub(super) index_traits: Vec<TraitRule>,
    /// Positions of the mothers, the best first.
    pub(super) mothers: Vec<usize>,
    pub(super) eligible: usize,
    pub(super) share_of_bound: Option<f64>,
    pub(super) harvest: Harvest,
    /// Gains by trait of the index; DHA first, whether it is in the index or not.
    pub(super) gains: Vec<(String, Gain)>,
    pub(super) trade_off: Vec<TradeOffRow>,
    pub(super) sampled: Month,
    pub(super) calendar: Calendar,
    pub(super) warnings: Vec<Problem>,
}

impl Evaluated {
    /// Trees from the best to the least by what they hand down; of equals the first of the sheet.
    #[must_use]
    pub fn order(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.inherits.len()).collect();
        order.sort_by(|a, b| {
            self.inherits[*b].worth.total_cmp(&self.inherits[*a].worth).then(a.cmp(b))
        });
        order
    }

    /// Months from the last sample to June of the first winter.
    pub(super) fn lead_months(&self) -> u32 {
        let june = Month { year: self.calendar.first_winter, month: 6 };
        u32::try_from(june.since(self.sampled)).unwrap_or(1).max(1)
    }

    /// DHA to expect of trees of the mothers' seed: lowest, expected, highest, mg/kg at 80 °Brix. Stands are
    /// taken to differ by their ground and weather, so the mean of all is what seed starts from.
    pub(super) fn seed_dha(&self) -> [f64; 3] {
        let (mean, error) = (self.dha.fitted.mean, self.dha.fitted.mean_error);
        let gain =
            self.gains.first().map_or([0.0; 3], |(_, one)| [one.low, one.expected, one.high]);
        let at = |gain: f64, side: f64| (mean + gain + side * 1.96 * error).max(0.0);
        [at(gain[0], -1.0), at(gain[1], 0.0), at(gain[2], 1.0)]
    }
}

/// Values trees, chooses mothers and shares their harvest out. `stand_of` has the stand of each tree;
/// `seedlings` those that are wanted.
///
/// Cost: O(n log n) in samples, and a few hundred passes over trees for each trait.
///
/// # Errors
/// When the sheet's nectar is too little or all the same.
pub fn evaluate(
    trees: &[SheetTree],
    stand_of: &[Option<usize>],
    rules: &SeedRules,
    seedlings: Option<u64>,
) -> Result<Evaluated, RecordsError> {
    let setting = Setting::new(trees, stand_of);
    let mut warnings = Vec::new();
    let mut fits = vec![setting.fit(DHA, rules)?];
    for rule in rules.traits.iter().filter(|rule| rule.name != DHA) {
        match setting.fit(&rule.name, rules) {
            Ok(fit) => fits.push(fit),
            Err(error) => {
                let remedy = "score or measure it on more trees; until then it does not count";
                warnings.push(left_out(&rule.name, &error.to_string(), remedy));
            }
        }
    }
    let mut indexed = Indexed::new(&fits, rules, &mut warnings);
    let inherits = indexed.trees(trees.len());
    let index = indexed.index().cloned();
    let index_traits: Vec<TraitRule> =
        indexed.traits.iter().map(|(_, rule)| (*rule).clone()).collect();
    let worth: Vec<f64> = inherits.iter().map(|one| one.worth).collect();
    let eligible = Eligible::new(trees, &worth, &setting.stand_of, rules);
    let dha_rule = rules.traits.iter().find(|rule| rule.name == DHA).cloned();
    // DHA counts for nothing in such an index, and its gain is told all the same.
    let dha_rule = dha_rule.unwrap_or_else(|| TraitRule {
        name: DHA.to_owned(),
        worth: 0.0,
        heritability: crate::site::SeedRules::usual().traits[0].heritability,
    });
    let (choice, given) = settle(&eligible, trees, seedlings, rules, &mut warnings);
    let weights = weights_of(&given, &choice.chosen);
    let gain_of = |fit: &TraitFit, rule: &TraitRule| (fit.name.clone(), gain(fit, rule, &weights));
    let mut gains = Vec::new();
    if !weights.is_empty() {
        gains.push(gain_of(&fits[0], &dha_rule));
        let others = indexed.traits.iter().filter(|(fit, _)| fit.name != DHA);
        gains.extend(others.map(|(fit, rule)| gain_of(fit, rule)));
    }
    let ladder = ladder(eligible.len(), choice.chosen.len());
    let trade_off = ladder.into_iter().filter_map(|count| {
        let is_chosen = count == choice.chosen.len();
        let (other, given) = if is_chosen {
            (choice.clone(), given.clone())
        } else {
            let other = eligible.choose(count, rules).ok()?;
            let given = harvest(trees, &other.chosen, seedlings, rules);
            (other, given)
        };
        let weights = weights_of(&given, &other.chosen);
        let total: f64 = weights.iter().map(|one| one.1).sum();
        let mean = weights.iter().map(|(at, weight)| worth[*at] * weight / total).sum::<f64>();
        let shares: Vec<f64> = weights.iter().map(|one| one.1).collect();
        let gained = [mean / 2.0, gain(&fits[0], &dha_rule, &weights).expected];
        let seedlings = (given.uncounted < other.chosen.len()).then_some(given.seedlings);
        Some(row(count, &shares, gained, seedlings, is_chosen))
    });
    let trade_off = trade_off.collect();
    let last = trees.iter().flat_map(|tree| &tree.samples).map(|one| one.date).max();
    let sampled = last.map_or(Month { year: 2000, month: 1 }, |day| Month {
        year: day.year(),
        month: day.month(),
    });
    let mut stands = setting.stand_of.clone();
    stands.sort_unstable();
    stands.dedup();
    let mut fits = fits.into_iter();
    let Some(dha) = fits.next() else { return Err(RecordsError::Few(0)) };
    Ok(Evaluated {
        chance_of_none: dha.chance_of_none(rules.outstanding_mg_per_kg),
        dha_sugar: dha_sugar(trees),
        seasons: setting.seasons,
        stands: stands.len(),
        inherits,
        index,
        index_traits,
        eligible: eligible.len(),
        share_of_bound: (choice.bound > 0.0).then(|| (choice.worth / choice.bound).min(1.0)),
        mothers: choice.chosen,
        harvest: given,
        gains,
        trade_off,
        sampled,
        calendar: calendar(sampled, rules.nursery_months),
        others: fits.collect(),
        dha,
        warnings,
    })
}

/// As few mothers as the rules ask for; more, until what they give keeps the status number.
fn settle(
    eligible: &Eligible,
    trees: &[SheetTree],
    seedlings: Option<u64>,
    rules: &SeedRules,
    warnings: &mut Vec<Problem>,
) -> (sourcing::select::Choice, Harvest) {
    let mut wanted = rules.mothers_least as usize;
    loop {
        let mut told = Vec::new();
        let choice = eligible.as_many_as(wanted, rules, &mut told);
        let given = harvest(trees, &choice.chosen, seedlings, rules);
        // Where nothing is taken, none gives more than another.
        let takes = given.capsules.iter().any(|capsules| *capsules > 0);
        let status = if takes { given.status_number } else { choice.chosen.len() as f64 };
        let is_all = choice.chosen.len() < wanted || choice.chosen.len() >= eligible.len();
        if status >= rules.status_least * (1.0 - 1e-12) || is_all {
            warnings.append(&mut told);
            warnings.extend(low_status(status, &choice, rules));
            warnings.extend(uncounted(&given));
            warnings.extend(unasked(trees, &choice));
            warnings.extend(short(&given, seedlings, &choice));
            return (choice, given);
        }
        // So many more at least, if they gave as much as any.
        wanted = choice.chosen.len() + (rules.status_least - status).ceil().max(1.0) as usize;
    }
}

fn low_status(
    status: f64,
    choice: &sourcing::select::Choice,
    rules: &SeedRules,
) -> Option<Problem> {
    let is_low = !choice.chosen.is_empty() && status < rules.status_least * (1.0 - 1e-12);
    is_low.then(|| {
        Problem::warning("status number")
            .found(format!("{status:.1} from {} mothers", choice.chosen.len()))
            .expected(format!("{} or more (seed.status_least)", rules.status_least))
            .remedy("count capsules of more mothers or sample more trees; seed of few holds little of the stands' diversity")
    })
}

fn uncounted(given: &Harvest) -> Option<Problem> {
    (given.uncounted > 0).then(|| {
        Problem::warning("seed_capsules")
            .found(format!("{} mothers without a count", given.uncounted))
            .expected("capsules of every mother, counted or estimated")
            .remedy("count them, or set seed.capsules; until then they give no seed to reckon with")
    })
}

/// Mothers that nobody has given permission for in writing.
fn unasked(trees: &[SheetTree], choice: &sourcing::select::Choice) -> Option<Problem> {
    let unasked = choice.chosen.iter().filter(|at| trees[**at].tree.permission.is_none());
    let names: Vec<&str> = unasked.map(|at| trees[*at].tree.tree_id.as_str()).collect();
    (!names.is_empty()).then(|| {
        Problem::warning("permission")
            .found(format!(
                "nothing written for {} of the mothers: {}",
                names.len(),
                names.join(", ")
            ))
            .expected("permission before any seed is taken")
            .remedy("ask, and write yes or no on the field sheet")
    })
}

/// Seed for fewer seedlings than are wanted.
fn short(
    given: &Harvest,
    seedlings: Option<u64>,
    choice: &sourcing::select::Choice,
) -> Option<Problem> {
    let wanted =
        seedlings.filter(|wanted| given.seedlings < *wanted && !choice.chosen.is_empty())?;
    Some(
        Problem::warning("seedlings")
            .found(format!("seed for {} of {wanted}", given.seedlings))
            .expected("as many as are wanted")
            .remedy("gather in two years, ask for more mothers (seed.mothers_least), or plan with fewer local plants"),
    )
}

/// What each mother gives, beside the others; alike where nothing is known.
fn weights_of(given: &Harvest, mothers: &[usize]) -> Vec<(usize, f64)> {
    let known = given.capsules.iter().any(|capsules| *capsules > 0);
    let weight = |capsules: &u64| if known { *capsules as f64 } else { 1.0 };
    mothers.iter().copied().zip(given.capsules.iter().map(weight)).collect()
}

/// How DHA and sugar go together, by the means of trees.
fn dha_sugar(trees: &[SheetTree]) -> Option<Correlation> {
    let pair = |tree: &SheetTree| {
        let both = tree.samples.iter().filter_map(|one| Some((one.ratio, one.sugar?.0)));
        let both: Vec<(f64, f64)> = both.collect();
        let count = both.len() as f64;
        (count > 0.0).then(|| {
            both.iter().fold((0.0, 0.0), |sum, one| (sum.0 + one.0 / count, sum.1 + one.1 / count))
        })
    };
    correlation(&trees.iter().filter_map(pair).collect::<Vec<_>>(), 0.95)
}

/// The unit of a trait.
pub(super) fn unit(name: &str, trees: &[SheetTree]) -> &'static str {
    use sourcing::amount::Basis;
    match name {
        DHA => "mg/kg at 80 °Brix",
        SUGAR => {
            let basis =
                trees.iter().flat_map(|tree| &tree.samples).find_map(|one| Some(one.sugar?.1));
            match basis {
                Some(Basis::Weight) => "mg/kg",
                Some(Basis::Volume) => "mg/L",
                Some(Basis::Flower) => "mg/flower",
                Some(Basis::Sample) => "mg/sample",
                None => "",
            }
        }
        "seed_capsules" => "capsules",
        _ => "points",
    }
}
