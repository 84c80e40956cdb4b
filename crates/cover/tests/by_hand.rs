//! Small cases worked out by hand, at the edges above all.
#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "tests")]

use std::f64::consts::PI;

use cover::{
    AgeCurve, AgeCurveError, CoverFactor, Growth, MOST_PER_HA, Pattern, Planting, PoleSite,
    StandCurve, covered_share, diameter_needed_m, first_year, plants_needed, poles_needed_per_ha,
    shared_cover,
};

/// 0.1 at planting, 0.8 at 5 years, 1.4 at 10: a rise of 0.14 and of 0.12 a year.
#[test]
fn a_curve_at_its_ages_between_and_beyond_them() {
    let curve = AgeCurve::new(&[(0.0, 0.1), (5.0, 0.8), (10.0, 1.4)]).unwrap();
    for (age, figure) in [
        (-1e-9, 0.0),
        (f64::NAN, 0.0),
        (0.0, 0.1),
        (1.0, 0.24),
        (5.0, 0.8),
        (7.5, 1.1),
        (10.0, 1.4),
        (90.0, 1.4),
    ] {
        assert!((curve.at(age) - figure).abs() < 1e-12, "{age}: {}", curve.at(age));
    }
    // Straight from 0 where the first pair is older.
    let later = AgeCurve::new(&[(4.0, 1.0)]).unwrap();
    assert_eq!([0.0, 1.0, 3.0, 4.0].map(|age| later.at(age)), [0.0, 0.25, 0.75, 1.0]);
    assert_eq!([0.0, 1.0, 60.0].map(|age| AgeCurve::zero().at(age)), [0.0; 3]);
}

#[test]
fn a_curve_may_stay_but_not_fall_and_faults_are_told_in_words() {
    assert!(AgeCurve::new(&[(0.0, 0.0), (1.0, 0.0), (2.0, 3.0), (3.0, 3.0)]).is_ok());
    let fault = |nodes: &[(f64, f64)]| AgeCurve::new(nodes).unwrap_err();
    for (nodes, expected, words) in [
        (&[][..], AgeCurveError::Empty, "no ages"),
        (&[(0.0, 1.0), (1.0, -0.1)], AgeCurveError::NotANumber(2), "pair 2"),
        (&[(f64::INFINITY, 1.0)], AgeCurveError::NotANumber(1), "pair 1"),
        (&[(0.0, f64::INFINITY)], AgeCurveError::NotANumber(1), "pair 1"),
        (&[(1.0, 1.0), (3.0, 2.0), (2.0, 3.0)], AgeCurveError::AgeNotRising(3), "age of pair 3"),
        (&[(1.0, 1.0), (2.0, 2.0), (3.0, 1.5)], AgeCurveError::Falling(3), "figure of pair 3"),
    ] {
        assert_eq!(fault(nodes), expected);
        assert!(expected.to_string().contains(words), "{expected}");
    }
}

#[test]
fn the_first_year_is_the_one_that_reaches_the_target() {
    let tenths = |year: i32| f64::from(year - 2_027) / 10.0;
    assert_eq!(first_year(2_027..=2_040, 0.5, tenths), Some(2_032));
    assert_eq!(first_year(2_027..=2_040, 0.0, tenths), Some(2_027));
    assert_eq!(first_year(2_027..=2_031, 0.5, tenths), None);
    assert_eq!(first_year([], 0.0, tenths), None);
}

/// A share that rises by a hundredth every hundred plants: to within one plant, and never too few.
#[test]
fn the_fewest_plants_that_reach_a_target() {
    let rising = |plants: f64| plants / MOST_PER_HA;
    for (target, fewest) in [(0.05, 500.0), (0.4321, 4_321.0), (0.9999, 9_999.0)] {
        let found = plants_needed(target, rising).unwrap();
        assert!(rising(found) >= target && found <= fewest + 1.0, "{target}: {found}");
    }
    assert_eq!(plants_needed(1.0, rising), Some(MOST_PER_HA));
    assert_eq!(plants_needed(1.000_001, rising), None);
    assert_eq!(plants_needed(0.0, rising), Some(0.0));
    assert_eq!(plants_needed(-0.5, rising), Some(0.0));
    // All at once from a third of a plant on: one.
    assert_eq!(plants_needed(0.5, |plants| f64::from(u8::from(plants > 0.33))), Some(1.0));
}

/// Plants at random on the same ground add up in the exponent: 1 − exp(−π Σ λ p r²).
#[test]
fn plantings_add_up_as_independent_discs() {
    // 0.2 m a year, of which plants reach half here.
    let radius_m = AgeCurve::new(&[(0.0, 0.0), (10.0, 2.0)]).unwrap();
    let growth = Growth { radius_m, share: 0.5 };
    assert!((growth.at(5.0) - 0.5).abs() < 1e-12 && (growth.at(20.0) - 1.0).abs() < 1e-12);
    let planting =
        |year: f64, planted_per_ha: f64, alive: f64| Planting { year, planted_per_ha, alive };
    let plantings =
        [planting(2.0, 1_000.0, 0.8), planting(5.0, 2_000.0, 0.5), planting(9.0, 5_000.0, 1.0)];
    // In year 8 they are 6 and 3 years old, and the third is not there.
    let discs = 0.1 * 0.8 * 0.6 * 0.6 + 0.2 * 0.5 * 0.3 * 0.3;
    let found = shared_cover(&plantings, &growth, Pattern::Random, 8.0);
    assert!((found - (1.0 - (-PI * discs).exp())).abs() < 1e-12, "{found}");
    // In year 4 the first alone is there, two years old.
    let found = shared_cover(&plantings, &growth, Pattern::Random, 4.0);
    assert!((found - (1.0 - (-PI * 0.1 * 0.8 * 0.2 * 0.2).exp())).abs() < 1e-12, "{found}");
    assert_eq!(shared_cover(&[], &growth, Pattern::Random, 8.0), 0.0);
    assert_eq!(shared_cover(&plantings, &growth, Pattern::Random, 2.0), 0.0);
}

#[test]
fn where_one_of_the_figures_is_nothing_nothing_is_covered() {
    for pattern in Pattern::ALL {
        for (radius_m, per_m2, alive) in [
            (0.0, 0.1, 0.8),
            (-2.0, 0.1, 0.8),
            (f64::NAN, 0.1, 0.8),
            (2.0, 0.0, 0.8),
            (2.0, -0.1, 0.8),
            (2.0, 0.1, 0.0),
            (2.0, 0.1, -0.8),
            (2.0, 0.1, f64::NAN),
        ] {
            assert_eq!(covered_share(pattern, radius_m, per_m2, alive), 0.0, "{pattern:?}");
        }
        // No more than all live.
        let all = covered_share(pattern, 1.0, 0.1, 1.0);
        assert_eq!(covered_share(pattern, 1.0, 0.1, 1.5), all);
    }
    let words = Pattern::ALL.map(Pattern::word);
    assert_eq!(words, ["square", "triangular", "random"]);
}

/// The power law through 2,500 stems of 0.1 m and 300 of 0.3 m falls by ln (25 / 3) / ln 3 = 1.93: three times as thick,
/// 25 / 3 times fewer, on any site; half way (0.1 √3 m), the geometric mean of both.
#[test]
fn poles_between_and_beyond_the_published_pairs_follow_the_power_law() {
    let near = |found: f64, expected: f64| (found / expected - 1.0).abs() < 1e-9;
    let (worst, good) = (PoleSite::Worst, PoleSite::Good);
    assert!(near(poles_needed_per_ha(worst, 0.1 * 3.0_f64.sqrt()), 750_000.0_f64.sqrt()));
    assert!(near(poles_needed_per_ha(worst, 0.9), 36.0));
    assert!(near(poles_needed_per_ha(good, 0.45), 12.0));
    assert!(near(poles_needed_per_ha(good, 0.05), 2_500.0 / 3.0));
    assert!(near(diameter_needed_m(worst, 36.0), 0.9) && near(diameter_needed_m(good, 12.0), 0.45));
}

#[test]
fn soil_under_part_scrub_lies_between_grass_and_scrub() {
    let factor = CoverFactor { grass: 0.01, woody: 0.002 };
    for (woody_share, expected) in
        [(0.0, 0.01), (0.25, 0.008), (1.0, 0.002), (-3.0, 0.01), (7.0, 0.002)]
    {
        assert!((factor.at(woody_share) - expected).abs() < 1e-15, "{woody_share}");
    }
}

/// Half of the first age, half of its figure; half way between the ages, half way between the figures.
#[test]
fn a_stand_rises_straight_to_and_between_what_was_measured() {
    for (curve, ages) in [
        (StandCurve::Bergin1993, [(4.0, 0.27), (12.0, 0.725), (14.0, 0.8175)]),
        (StandCurve::Bergin1995, [(5.0, 0.325), (15.0, 0.775), (18.0, 0.85)]),
    ] {
        for (age, expected) in ages {
            assert!((curve.at(age) - expected).abs() < 1e-12, "{curve:?} {age}");
        }
        assert_eq!([-4.0, f64::NAN].map(|age| curve.at(age)), [0.0; 2]);
    }
}
