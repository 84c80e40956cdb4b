//! Rankings of invented sheets whose truth is known.

use std::collections::BTreeSet;
use std::path::PathBuf;

use proptest::prelude::*;
use stock::{Library, StockKind, Supply};

use super::evaluate::{Evaluated, evaluate};
use super::line::{Line, with_line};
use super::mothers::barred;
use super::raising::{rates, winters};
use crate::seed::{Day, FieldTree, LabSample, SheetTree};
use crate::site::{SeedRules, TraitRule};

/// Numbers that look random and are the same each time: a linear congruential generator (constants of
/// Knuth's MMIX, from memory).
struct Dice(u64);

impl Dice {
    fn share(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Near enough to normal: twelve shares less six.
    fn normal(&mut self, deviation: f64) -> f64 {
        ((0..12).map(|_| self.share()).sum::<f64>() - 6.0) * deviation
    }
}

/// Deviations: stands, trees, years, samples; mg/kg at 80 °Brix around 5,000.
const TRUTH: [f64; 4] = [400.0, 1_500.0, 300.0, 900.0];

fn field(tree: usize, at: [f64; 2], dice: &mut Dice) -> FieldTree {
    FieldTree {
        tree_id: format!("T{tree:04}"),
        row: tree + 2,
        at,
        vigour: Some(2 + (dice.share() * 4.0) as u8),
        form: None,
        flower_number: None,
        flower_quality: None,
        seed_capsules: Some(500 + (dice.share() * 3_000.0) as u32),
        disease: Some((dice.share() * 3.0) as u8),
        permission: Some(true),
    }
}

fn sample(tree: usize, year: i32, dha: f64, sugar: f64) -> LabSample {
    LabSample {
        tree_id: format!("T{tree:04}"),
        row: tree + 2,
        date: Day::new(year - 1, 12, 20).unwrap(),
        season: year,
        ratio: dha.max(100.0) / 800_000.0,
        sugar: Some((sugar, sourcing::amount::Basis::Flower)),
        below_limit: false,
        at: None,
    }
}

/// Trees of so many stands, each sampled in two seasons; with the stand of each.
fn sheet(
    trees: usize,
    stands: usize,
    seed: u64,
    truth: [f64; 4],
) -> (Vec<SheetTree>, Vec<Option<usize>>) {
    let mut dice = Dice(seed);
    let [stand_sd, tree_sd, year_sd, error_sd] = truth;
    let of_stand: Vec<f64> = (0..stands).map(|_| dice.normal(stand_sd)).collect();
    let of_year: Vec<f64> = (0..2).map(|_| dice.normal(year_sd)).collect();
    let mut all = Vec::new();
    for tree in 0..trees {
        let stand = tree % stands;
        let place = [dice.share() * 900.0 + 1_000.0 * stand as f64, dice.share() * 900.0];
        let own = dice.normal(tree_sd);
        let samples = (0..2).map(|year| {
            let dha = 5_000.0 + of_stand[stand] + own + of_year[year] + dice.normal(error_sd);
            sample(tree, 2027 + year as i32, dha, 0.6 + dice.normal(0.1))
        });
        let samples = samples.collect();
        all.push(SheetTree { tree: field(tree, place, &mut dice), samples });
    }
    (all, (0..trees).map(|tree| Some(tree % stands)).collect())
}

fn rules() -> SeedRules {
    SeedRules::usual()
}

fn evaluated(trees: &[SheetTree], stand_of: &[Option<usize>], rules: &SeedRules) -> Evaluated {
    evaluate(trees, stand_of, rules, None).unwrap()
}

fn ids(found: &Evaluated, trees: &[SheetTree]) -> BTreeSet<String> {
    found.mothers.iter().map(|at| trees[*at].tree.tree_id.clone()).collect()
}

#[test]
fn what_was_put_in_is_found_again() {
    let (trees, stands) = sheet(1_200, 12, 5, TRUTH);
    let found = evaluated(&trees, &stands, &rules());
    let parts = found.dha.fitted.components;
    let near = |variance: Option<f64>, truth: f64, by: f64| {
        let found = variance.unwrap().sqrt();
        assert!((found / truth - 1.0).abs() < by, "{found} beside {truth}");
    };
    near(parts.tree, 1_500.0, 0.06);
    near(Some(parts.error), 900.0, 0.05);
    // Twelve stands and two years tell less of theirs.
    near(parts.stand, 400.0, 0.5);
    assert!((found.dha.fitted.mean - 5_000.0).abs() < 3.0 * found.dha.fitted.mean_error + 300.0);
    let shared = found.dha_sugar.unwrap();
    assert!(shared.low < 0.0 && 0.0 < shared.high, "sugar goes its own way: {shared:?}");
    assert_eq!((found.stands, found.seasons), (12, vec![2027, 2028]));
}

/// The true worth of chosen trees is above the mean by about what was said: drawn in, not out.
#[test]
fn what_is_said_of_mothers_comes_true() {
    let (mut said, mut true_of) = (0.0, 0.0);
    for seed in 0..20 {
        let mut dice = Dice(seed + 1_000);
        let trees: Vec<SheetTree> = (0..200)
            .map(|tree| {
                let place = [40.0 * (tree % 20) as f64, 40.0 * (tree / 20) as f64];
                let own = dice.normal(1_500.0);
                let samples = (0..2)
                    .map(|year| {
                        sample(tree, 2027 + year, 5_000.0 + own + dice.normal(1_500.0), 0.6)
                    })
                    .collect();
                let mut of = SheetTree { tree: field(tree, place, &mut dice), samples };
                // Kept where the ranking does not look.
                of.tree.row = (own + 100_000.0) as usize;
                of
            })
            .collect();
        let found = evaluated(&trees, &vec![Some(0); 200], &rules());
        for at in &found.mothers {
            said += found.dha.values.trees[*at].unwrap().deviation;
            true_of += trees[*at].tree.row as f64 - 100_000.0;
        }
    }
    assert!((said / true_of - 1.0).abs() < 0.1, "{said} said, {true_of} true");
}

#[test]
fn trees_that_do_not_differ_are_not_ranked_and_that_is_told() {
    let mut dice = Dice(3);
    let (mut trees, stands) = sheet(60, 3, 9, [0.0, 0.0, 0.0, 800.0]);
    for tree in &mut trees {
        // Twice the same but for error of opposite sign: no tree stands out.
        let error = dice.normal(800.0);
        tree.samples[0].ratio = (5_000.0 + error) / 800_000.0;
        tree.samples[1].ratio = (5_000.0 - error) / 800_000.0;
    }
    let found = evaluated(&trees, &stands, &rules());
    assert!(found.inherits.iter().all(|one| one.worth.abs() < 1e-12));
    assert!(found.index.is_none());
    assert!(found.warnings.iter().any(|one| one.item == "dha"), "{:?}", found.warnings);
    assert_eq!(found.mothers.len(), 30, "for their diversity");
    assert!(found.gains[0].1.expected.abs() < 1e-9);
}

#[test]
fn one_sample_a_tree_takes_the_sites_repeatability() {
    let (mut trees, stands) = sheet(80, 4, 2, TRUTH);
    for tree in &mut trees {
        tree.samples.truncate(1);
    }
    let found = evaluated(&trees, &stands, &rules());
    assert_eq!(found.dha.fitted.components.tree, None);
    assert!((found.dha.parted.repeatability().unwrap() - rules().repeatability).abs() < 1e-12);
    for tree in found.dha.values.trees.iter().flatten() {
        assert!(tree.deviation.abs() <= tree.raw_deviation.abs() + 1e-9);
    }
}

/// The same trees in any order: the same mothers.
#[test]
fn the_order_of_rows_does_not_matter() {
    let (trees, stands) = sheet(120, 4, 4, TRUTH);
    let found = evaluated(&trees, &stands, &rules());
    let turned: Vec<SheetTree> = trees.iter().rev().cloned().collect();
    let turned_stands: Vec<Option<usize>> = stands.iter().rev().copied().collect();
    let other = evaluated(&turned, &turned_stands, &rules());
    assert_eq!(ids(&found, &trees), ids(&other, &turned));
}

#[test]
fn who_may_be_no_mother_is_none() {
    let (mut trees, stands) = sheet(100, 4, 6, TRUTH);
    let found = evaluated(&trees, &stands, &rules());
    let best = found.mothers[..4].to_vec();
    trees[best[0]].tree.permission = Some(false);
    trees[best[1]].tree.vigour = Some(1);
    trees[best[2]].tree.disease = Some(5);
    trees[best[3]].tree.seed_capsules = Some(0);
    let reasons: Vec<String> =
        best.iter().map(|at| barred(&trees[*at], &rules()).unwrap()).collect();
    let words = ["permission", "stunted", "struggling", "capsules"];
    assert!(reasons.iter().zip(words).all(|(reason, word)| reason.contains(word)), "{reasons:?}");
    let other = evaluated(&trees, &stands, &rules());
    assert!(best.iter().all(|at| !other.mothers.contains(at)));
    // What was not scored bars nobody.
    let blank = FieldTree {
        vigour: None,
        disease: None,
        permission: None,
        seed_capsules: None,
        ..trees[0].tree.clone()
    };
    assert_eq!(barred(&SheetTree { tree: blank, samples: vec![] }, &rules()), None);
}

#[test]
fn more_mothers_gain_less_and_hold_more() {
    let (trees, stands) = sheet(300, 6, 8, TRUTH);
    let found = evaluated(&trees, &stands, &rules());
    let rows = &found.trade_off;
    assert!(rows.len() > 6 && rows.iter().filter(|row| row.chosen).count() == 1);
    for pair in rows.windows(2) {
        assert!(pair[1].status_number > pair[0].status_number);
        assert!(pair[1].allele_chance > pair[0].allele_chance);
        assert!(pair[1].gain_worth < pair[0].gain_worth + 0.02, "{rows:?}");
    }
    let gain = found.gains[0].1;
    assert!(gain.low < gain.expected && gain.expected < gain.high);
    let [low, expected, high] = found.seed_dha();
    assert!(low < expected && expected < high);
}

#[test]
fn traits_of_the_field_count_as_they_are_worth() {
    let (trees, stands) = sheet(200, 4, 10, TRUTH);
    let mut with_vigour = rules();
    with_vigour.traits.push(TraitRule { name: "vigour".into(), worth: 5.0, heritability: 0.3 });
    let mean_vigour = |rules: &SeedRules| {
        let found = evaluated(&trees, &stands, rules);
        let vigour = found.mothers.iter().filter_map(|at| trees[*at].tree.vigour);
        vigour.map(f64::from).sum::<f64>() / found.mothers.len() as f64
    };
    assert!(mean_vigour(&with_vigour) > mean_vigour(&rules()) + 0.5);
    // A trait that nobody scored does not stop the rest.
    let mut with_form = rules();
    with_form.traits.push(TraitRule { name: "form".into(), worth: 1.0, heritability: 0.3 });
    let found = evaluated(&trees, &stands, &with_form);
    assert!(found.warnings.iter().any(|one| one.item == "form"));
    assert_eq!(found.index_traits.len(), 1);
}

#[test]
fn mothers_without_a_count_give_nothing_to_reckon_with() {
    let (mut trees, stands) = sheet(60, 3, 12, TRUTH);
    for tree in &mut trees {
        tree.tree.seed_capsules = None;
    }
    let found = evaluated(&trees, &stands, &rules());
    assert_eq!((found.harvest.seedlings, found.harvest.uncounted), (0, 30));
    assert!(found.warnings.iter().any(|one| one.item == "seed_capsules"));
    assert!(
        (found.trade_off.iter().find(|row| row.chosen).unwrap().status_number - 30.0).abs() < 1e-9
    );
    let mut told = rules();
    told.capsules = Some(2_000);
    assert!(evaluated(&trees, &stands, &told).harvest.seedlings > 0);
}

/// Mothers wanted where stands lie nearer than mothers may: the best without all stands, and that is told.
#[test]
fn stands_that_cannot_all_have_mothers_do_not_stop_it() {
    let (trees, stands) = sheet(80, 6, 21, TRUTH);
    for (apart, least) in [(400.0, 1), (700.0, 2), (300.0, 9), (1_000.0, 30)] {
        let mut rules = rules();
        rules.apart.0 = apart;
        rules.stand_least = least;
        let found = evaluated(&trees, &stands, &rules);
        assert!(!found.mothers.is_empty(), "{apart} m");
        assert!(!found.warnings.is_empty());
    }
    // Fewer wanted than stands: as many as stands, and that is told.
    let mut one = rules();
    (one.mothers_least, one.status_least) = (1, 0.9);
    let found = evaluated(&trees, &stands, &one);
    assert_eq!(found.mothers.len(), 6);
    assert!(found.warnings.iter().any(|warning| warning.item == "seed.stand_least"));
}

/// Small wants are met by all mothers alike, and a full status number costs no more than it must.
#[test]
fn even_shares_cost_little() {
    let (mut trees, stands) = sheet(100, 4, 6, TRUTH);
    for tree in &mut trees {
        tree.tree.seed_capsules = Some(1_001);
    }
    let mut even = rules();
    even.status_least = 30.0;
    let found = evaluate(&trees, &stands, &even, None).unwrap();
    assert_eq!(found.mothers.len(), 30);
    assert!(found.harvest.capsules.iter().all(|capsules| *capsules == 100));
    let few = evaluate(&trees, &stands, &even, Some(5)).unwrap();
    assert_eq!(few.mothers.len(), 30);
    assert!(few.harvest.capsules.iter().all(|capsules| *capsules == 1));
    let many = evaluate(&trees, &stands, &even, Some(10_000_000)).unwrap();
    assert!(many.warnings.iter().any(|warning| warning.item == "seedlings"));
    trees[many.mothers[0]].tree.permission = None;
    let asked = evaluate(&trees, &stands, &even, None).unwrap();
    assert!(asked.warnings.iter().any(|warning| warning.item == "permission"));
}

#[test]
fn who_asks_for_nothing_gets_as_many_mothers_as_anyone() {
    let (trees, stands) = sheet(100, 4, 6, TRUTH);
    let found = evaluate(&trees, &stands, &rules(), Some(0)).unwrap();
    assert_eq!((found.mothers.len(), found.harvest.seedlings), (30, 0));
}

#[test]
fn a_plan_is_served_winter_by_winter() {
    let (trees, stands) = sheet(100, 4, 6, TRUTH);
    let found = evaluated(&trees, &stands, &rules());
    let first = found.calendar.first_winter;
    assert_eq!(first, 2029, "sampled in December 2027, gathered 2028, planted 2029");
    let demand = [(Some(first - 1), 100), (Some(first), 300), (Some(first + 1), 900)];
    let rows = winters(&demand, 1_000, &found.calendar);
    assert_eq!(rows.iter().map(|row| row.supplied).collect::<Vec<_>>(), [0, 300, 700]);
    let late: Vec<u64> = rows.iter().map(|row| row.supplied_after_a_lost_year).collect();
    assert_eq!(late, [0, 0, 900]);
    assert_eq!(found.lead_months(), 18);
}

fn line() -> Line {
    Line {
        id: "local_2029".into(),
        name: "Home \"hill\"".into(),
        first_winter: 2029,
        seedlings: 12_345,
        lead_months: 18,
        dha_mg_per_kg: 5_400.0,
        tree_sd_mg_per_kg: 1_500.0,
        trees: 72,
        mothers: 30,
        place: [1_800_000.4, 5_600_000.6],
        crs: "EPSG:2193".into(),
        heights_m: Some([190.2, 280.0, 410.9]),
        seed_zone: Some("Coast".into()),
    }
}

#[test]
fn a_line_reads_back_and_keeps_the_file_as_it_was() {
    let own = "# mine, with a comment\n".to_owned() + stock::STARTER;
    let library = Library::parse(&own).unwrap();
    let stock = line().stock().unwrap();
    let alone = line().toml(&stock).unwrap();
    let all = with_line(Some(&own), &library, &stock, &alone).unwrap();
    assert!(all.starts_with(own.trim_end()));
    let read = Library::parse(&all).unwrap();
    let (_, found) = read.find("local_2029").unwrap();
    assert_eq!(*found, stock);
    assert_eq!(found.kind, StockKind::SeedLine);
    assert_eq!(found.supply, Supply::Seasons([(2029, 12_345)].into()));
    assert_eq!(found.status.first_season(), Some(2029));
    assert_eq!(read.stocks().len(), library.stocks().len() + 1);
    assert_eq!(Library::parse(&alone).unwrap().stocks(), std::slice::from_ref(&stock));
    // Once more under the same name is refused with what to do.
    let again = with_line(Some(&all), &read, &stock, &alone).unwrap_err();
    assert!(again.remedy.contains("--line"), "{again}");
    // Stock from a table.
    let table = with_line(None, &library, &stock, &alone).unwrap();
    assert_eq!(Library::parse(&table).unwrap(), read);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn rules_are_kept_and_no_tree_is_stripped(trees in 4_usize..150, stands in 1_usize..6, seed in any::<u64>(), least in 1_u32..40, apart in 0.0_f64..60.0, wanted in prop::option::of(0_u64..40_000)) {
        let (mut trees, stand_of) = sheet(trees, stands, seed, TRUTH);
        let mut dice = Dice(seed.wrapping_add(77));
        for tree in &mut trees {
            if dice.share() < 0.1 { tree.tree.permission = Some(false); }
            if dice.share() < 0.1 { tree.tree.seed_capsules = None; }
        }
        let mut rules = rules();
        (rules.mothers_least, rules.status_least) = (least, 0.9 * f64::from(least));
        rules.apart.0 = apart;
        let found = evaluate(&trees, &stand_of, &rules, wanted).unwrap();
        let status = found.trade_off.iter().find(|row| row.chosen).map_or(0.0, |row| row.status_number);
        let told = |item: &str| found.warnings.iter().any(|one| one.item == item);
        prop_assert!(found.mothers.len() >= least as usize || told("mothers"));
        prop_assert!(status >= rules.status_least * (1.0 - 1e-9) || told("mothers") || told("status number") || wanted == Some(0), "{status}");
        for (place, at) in found.mothers.iter().enumerate() {
            prop_assert_eq!(barred(&trees[*at], &rules), None);
            for other in &found.mothers[..place] {
                let (a, b) = (trees[*at].tree.at, trees[*other].tree.at);
                prop_assert!((a[0] - b[0]).hypot(a[1] - b[1]) >= apart * (1.0 - 1e-12));
            }
            let capsules = trees[*at].tree.seed_capsules.unwrap_or(0);
            prop_assert!(found.harvest.capsules[place] as f64 <= f64::from(capsules) * rules.harvest + 1e-6);
        }
        let capsules: u64 = found.harvest.capsules.iter().sum();
        prop_assert_eq!(found.harvest.seedlings, rates(&rules).seedlings_of(capsules));
        if let Some(wanted) = wanted {
            let most = rates(&rules).capsules_for(wanted) + found.mothers.len() as u64;
            prop_assert!(capsules <= most, "a capsule a mother more than is wanted, at most");
        }
        let all_finite = found.inherits.iter().all(|one| one.worth.is_finite() && one.worth_variance >= 0.0);
        prop_assert!(all_finite && found.seed_dha().iter().all(|one| one.is_finite() && *one >= 0.0));
    }
}

/// A folder stands for the plan in it.
#[test]
fn the_plan_that_is_named_is_the_one_that_is_read() {
    let file = crate::plan::plan_file("nowhere".as_ref());
    assert_eq!(file, PathBuf::from("nowhere/plan.json"));
    let none = super::demand::read_demand("nowhere".as_ref(), &Library::none()).unwrap_err();
    assert_eq!(none.file, Some(file));
    assert!(none.remedy.contains("hillweave plan"), "{none}");
}
