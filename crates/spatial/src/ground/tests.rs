//! What layers are made from, where they have holes, and what the reader is told.

use terrain::{ExposureSettings, FROST_SCALE_M, Grid, Kernel, Raster, SunSettings};

use super::{Derivation, Footing, GroundLayer};
use crate::problem::Problem;
use crate::site::{GroundRules, Hollows};
use crate::units::Metres;

fn footing<'a>(elevation_m: &'a Raster<f32>, rules: &'a GroundRules) -> Footing<'a> {
    Footing {
        elevation_m,
        property: None,
        rules,
        scale: Metres(0.0),
        latitude_deg: Some(-41.0),
        sun_months: Some(&[6]),
        streams: None,
        climate: None,
    }
}

/// A plane that falls to the south, 1 m for 4.
fn hillside(side: usize) -> Raster<f32> {
    let grid = Grid::new(side, side, 0.0, 0.0, 1.0, 1.0).unwrap();
    Raster::from_fn(grid, |row, _| 500.0 - row as f32 / 4.0)
}

/// Two slopes that meet in a valley which falls to the south, 5 cells of it on each side; beyond its
/// ridges 3 cells fall away.
fn valley() -> Raster<f32> {
    let grid = Grid::new(17, 30, 0.0, 0.0, 10.0, 10.0).unwrap();
    Raster::from_fn(grid, |row, col| {
        let across = col.abs_diff(8);
        500.0 + 6.0 * across.min(10 - across) as f32 - row as f32
    })
}

/// A stream from 130 of its cells, more than lie on either of the outer slopes.
fn rules_of_valley() -> GroundRules {
    GroundRules { stream_from_m2: 13_000.0, ..GroundRules::usual() }
}

fn said<'a>(notes: impl Iterator<Item = &'a Problem>) -> String {
    notes.map(ToString::to_string).collect()
}

fn holes(raster: &Raster<f32>) -> usize {
    raster.cells().iter().filter(|cell| cell.is_nan()).count()
}

#[test]
fn a_hillside_whose_water_meets_no_stream_has_no_height_above_one() {
    let (ground, rules) = (hillside(100), GroundRules::usual());
    let mut derivation = Derivation::new(footing(&ground, &rules));
    for layer in [GroundLayer::HeightAboveDrainage, GroundLayer::FrostIndex] {
        assert_eq!(holes(derivation.layer(layer).unwrap()), ground.grid().len(), "{layer:?}");
    }
    let told = said(derivation.notes());
    assert!(told.contains("no drainage line"), "{told}");
    assert!(!told.contains("lines were derived"), "{told}");
}

#[test]
fn the_share_without_a_stream_is_told() {
    let (ground, rules) = (valley(), rules_of_valley());
    let mut derivation = Derivation::new(footing(&ground, &rules));
    let height = derivation.layer(GroundLayer::HeightAboveDrainage).unwrap().clone();
    let without = holes(&height);
    assert!((180..=240).contains(&without), "the outer slopes, perhaps the ridges: {without}");
    let share = crate::fit::percent(without as f64 / ground.grid().len() as f64);
    let told = said(derivation.notes());
    assert!(told.contains(&share), "{share}: {told}");
}

#[test]
fn derived_lines_are_said_to_be_derived_once() {
    let (ground, rules) = (valley(), rules_of_valley());
    let mut derivation = Derivation::new(footing(&ground, &rules));
    let times =
        |derivation: &Derivation<'_>| said(derivation.notes()).matches("were derived").count();
    assert!(!derivation.drainage_lines().unwrap().is_empty());
    assert_eq!(times(&derivation), 1);
    derivation.layer(GroundLayer::HeightAboveDrainage).unwrap();
    assert_eq!(times(&derivation), 1);
}

#[test]
fn the_sun_of_a_month_needs_no_aspect_to_be_given() {
    let (ground, rules) = (hillside(9), GroundRules::usual());
    let mut derivation = Derivation::new(footing(&ground, &rules));
    let own = derivation.take(GroundLayer::Slope).unwrap();
    let plain = derivation.sun_of_month(6).unwrap();
    let mut given = Derivation::new(footing(&ground, &rules));
    given.give(GroundLayer::Slope, own);
    let sun = given.sun_of_month(6).unwrap();
    assert_eq!(sun.at(4, 4).to_bits(), plain.at(4, 4).to_bits());
}

#[test]
fn hollows_too_deep_to_breach_are_counted() {
    let mut ground = hillside(21);
    let (cols, pits) = (21, [(5, 5), (15, 15)]);
    for (row, col) in pits {
        ground.cells_mut()[row * cols + col] = 480.0;
    }
    let breach = |deepest| GroundRules {
        hollows: Hollows::Breach { longest: Metres(50.0), deepest: Metres(deepest) },
        ..GroundRules::usual()
    };
    let told = |rules: &GroundRules| {
        let mut derivation = Derivation::new(footing(&ground, rules));
        derivation.layer(GroundLayer::Filled).unwrap();
        said(derivation.notes())
    };
    let shallow = told(&breach(2.0));
    assert!(shallow.contains("2 of 2 hollows"), "{shallow}");
    assert_eq!(told(&breach(30.0)), "");
}

/// One default each: what a site leaves open is what the library does by itself.
#[test]
fn the_defaults_of_a_site_are_those_of_the_library() {
    let rules = GroundRules::usual();
    let exposure = ExposureSettings::default();
    assert_eq!((rules.exposure.0, rules.exposure_signed), (exposure.distance_m, exposure.signed));
    assert_eq!(Some(rules.horizon.0), SunSettings::new(0.0).shade_within_m);
    assert_eq!(rules.smoothing, Kernel::default());
    assert!((rules.frost_height.0 - FROST_SCALE_M).abs() < f64::EPSILON);
}
