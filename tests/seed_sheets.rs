//! The sheets of the sample property: the bytes that their program makes, read and joined without a
//! fault, and the truth that they were drawn from found again.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

#[path = "../crates/hillweave/examples/make_seed_sheets/sheets/mod.rs"]
mod sheets;
mod support;

use std::collections::BTreeSet;

use sheets::truth;
use sourcing::variance::{Record, Records, reml};
use spatial::pipeline;
use spatial::seed::{Joined, join, on_property, read_field, read_lab};
use support::repository;

fn joined() -> Joined {
    let folder = repository().join("sample-layers");
    let field = read_field(&folder.join("field_sheet.csv")).unwrap();
    let lab = read_lab(&folder.join("lab_sheet.csv")).unwrap();
    // What is below the laboratory's limit is the one thing to be warned of.
    assert_eq!(lab.warnings.len(), 2, "{:?}", lab.warnings);
    assert_eq!(lab.samples.iter().filter(|sample| sample.below_limit).count(), 2);
    join(&lab, &field).unwrap()
}

#[test]
fn the_sheets_are_those_that_the_program_makes() {
    let folder = repository().join("sample-layers");
    let made = sheets::make(&folder.join("site.toml")).unwrap();
    let kept = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    let remedy = "run `cargo run --release --example make_seed_sheets -p hillweave`";
    assert!(made.field == kept("field_sheet.csv"), "{remedy}");
    assert!(made.lab == kept("lab_sheet.csv"), "{remedy}");
}

#[test]
fn the_sheets_hold_what_a_round_of_sampling_brings() {
    let folder = repository().join("sample-layers");
    let trees = read_field(&folder.join("field_sheet.csv")).unwrap().trees;
    let count = |is_it: &dyn Fn(&spatial::seed::FieldTree) -> bool| {
        trees.iter().filter(|tree| is_it(tree)).count()
    };
    assert_eq!(trees.len(), 72);
    assert_eq!(count(&|tree| tree.vigour == Some(1)), truth::POOR);
    assert_eq!(count(&|tree| tree.disease >= Some(4)), truth::POOR);
    assert_eq!(count(&|tree| tree.permission == Some(false)), 3);
    assert_eq!(count(&|tree| tree.permission.is_none()), 1);
    let capsules: Vec<u32> = trees.iter().filter_map(|tree| tree.seed_capsules).collect();
    assert!(capsules.iter().min() >= Some(&100) && capsules.iter().max() > Some(&3_000));
    let joined = joined();
    assert_eq!(joined.trees.len(), 72 - truth::NOT_SAMPLED);
    let seasons = |tree: &spatial::seed::SheetTree| -> BTreeSet<i32> {
        tree.samples.iter().map(|sample| sample.season).collect()
    };
    let twice = joined.trees.iter().filter(|tree| seasons(tree).len() == 2).count();
    assert_eq!(twice, truth::SAMPLED_AGAIN);
    let samples: usize = joined.trees.iter().map(|tree| tree.samples.len()).sum();
    assert_eq!(samples, 65 + truth::SAMPLED_AGAIN + 2 * truth::TWICE_A_DAY);
}

#[test]
fn every_tree_stands_in_a_stand_and_the_truth_is_found_again() {
    let joined = joined();
    let site = repository().join("sample-layers/site.toml");
    let zoned = pipeline::zoned(&site, &mut |_| ()).unwrap();
    let placed = on_property(&joined, &zoned.ready.boundary, &zoned.zones.stands).unwrap();
    assert!(placed.warnings.is_empty(), "{:?}", placed.warnings);
    let stand_of: Vec<usize> = placed.stands.into_iter().map(Option::unwrap).collect();
    let mut records = Vec::new();
    for (tree, of_tree) in joined.trees.iter().enumerate() {
        records.extend(of_tree.samples.iter().map(|sample| {
            let value = sample.ratio * 800_000.0;
            Record { tree, year: usize::from(sample.season == 2026), value }
        }));
    }
    let fitted = reml(&Records::new(&records, &stand_of, 2).unwrap());
    let found = fitted.components;
    println!("{fitted:?}");
    for (what, found, truth, factor) in [
        // 65 trees, 38 of them sampled twice or more: a standard error of about 12 %.
        ("tree", found.tree, truth::TREE_SD, 1.25),
        ("error", Some(found.error), truth::ERROR_SD, 1.25),
        // Nine stands, four of them of three trees or fewer; two seasons.
        ("stand", found.stand, truth::STAND_SD, 2.0),
        ("year", found.year, truth::YEAR_SD, 2.0),
    ] {
        let found = found.unwrap().sqrt();
        println!("{what}: {found:.0} of {truth}");
        assert!((truth / factor..truth * factor).contains(&found), "{what}: {found} of {truth}");
    }
    assert!((fitted.mean - truth::MEAN).abs() < 2.0 * fitted.mean_error, "{fitted:?}");
    let repeatability = found.repeatability().unwrap();
    assert!((0.4..0.7).contains(&repeatability), "among plants 40 to 70 %: {repeatability}");
}
