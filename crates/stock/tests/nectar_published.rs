//! Classes and conversions of nectar against published figures.

#![expect(clippy::expect_used, reason = "a test helper that fails is a failing test")]

use stock::nectar::{
    DHA_G_PER_MOL, DhaRatio, MGO_CEILING, MGO_G_PER_MOL, Mgo, Nectar, NectarBand, NectarClass,
    NonPeroxideActivity, NormalisedDha,
};

fn ratio(mg_per_mg: f64) -> DhaRatio {
    DhaRatio::new(mg_per_mg).expect("a ratio")
}

fn normalised(mg_per_kg: f64) -> NormalisedDha {
    NormalisedDha::new(mg_per_kg).expect("an amount")
}

/// Williams et al. 2014, J. Agric. Food Chem.: low below 0.001, moderate to 0.002, high above.
#[test]
fn classes_are_those_of_the_survey_of_wild_nectar() {
    for (mg_per_mg, class) in [
        (0.0, NectarClass::Low),
        (0.0009, NectarClass::Low),
        (0.001, NectarClass::Moderate),
        (0.0015, NectarClass::Moderate),
        (0.002, NectarClass::Moderate),
        (0.0021, NectarClass::High),
        (1.0, NectarClass::High),
    ] {
        assert_eq!(NectarClass::of(ratio(mg_per_mg)), class, "{mg_per_mg}");
    }
    assert!(NectarClass::Low < NectarClass::Moderate && NectarClass::Moderate < NectarClass::High);
}

/// By the definition of 80 °Brix: 0.8 kg of sugar in a kilogram.
#[test]
fn normalised_is_the_ratio_times_eight_hundred_thousand() {
    for (mg_per_mg, mg_per_kg) in [(0.001, 800.0), (0.002, 1_600.0), (0.0, 0.0)] {
        assert!((ratio(mg_per_mg).normalised().mg_per_kg() - mg_per_kg).abs() < 1e-9);
        assert!((normalised(mg_per_kg).ratio().mg_per_mg() - mg_per_mg).abs() < 1e-15);
    }
    // The same nectar, thin or thick, has the same ratio.
    for brix in [8.0, 20.0, 80.0] {
        let thinned = DhaRatio::from_nectar(10_561.0 * brix / 80.0, brix).expect("a ratio");
        assert!((thinned.normalised().mg_per_kg() - 10_561.0).abs() < 1e-8, "{brix} °Brix");
    }
    for brix in [0.0, -1.0, 100.1, f64::NAN] {
        assert_eq!(DhaRatio::from_nectar(1.0, brix), None);
    }
}

/// Millner et al. 2016, doi 10.33584/rps.16.2016.3266: means of planted provenances and of the wild
/// plants beside them, mg/kg at 80 °Brix. The ratios beside them are worked out from these.
#[test]
fn planted_lines_stand_to_wild_plants_as_was_published() {
    let (line_a, line_c, wild_one) = (7_757.0, 10_561.0, 4_173.0);
    let (line_d, wild_two) = (12_157.0, 5_111.0);
    for (mg_per_kg, mg_per_mg) in [
        (line_a, 0.0097),
        (line_c, 0.0132),
        (wild_one, 0.0052),
        (line_d, 0.0152),
        (wild_two, 0.0064),
    ] {
        let found = normalised(mg_per_kg).ratio();
        assert!((found.mg_per_mg() - mg_per_mg).abs() < 5.1e-5, "{mg_per_kg}");
        // All of them are far above the edge of the highest class, so only bands tell them apart.
        assert_eq!(NectarClass::of(found), NectarClass::High);
        assert!(NectarBand::of(normalised(mg_per_kg)) >= NectarBand::VeryHigh);
    }
    assert!((ratio(0.013_201_25).normalised().mg_per_kg() - line_c).abs() < 1e-6);
    for (line, wild, times) in
        [(line_a, wild_one, 1.86), (line_c, wild_one, 2.531), (line_d, wild_two, 2.38)]
    {
        let found = normalised(line).ratio().mg_per_mg() / normalised(wild).ratio().mg_per_mg();
        assert!((found - times).abs() < 5e-3, "{found}");
    }
    for mg_per_kg in [line_a, line_c, wild_one, line_d, wild_two] {
        let times_the_edge = mg_per_kg / ratio(0.002).normalised().mg_per_kg();
        assert!((2.6..=7.6).contains(&times_the_edge), "{times_the_edge}");
    }
}

/// Bands above 1,600 mg/kg are this program's own, no source: only their order can be tested.
#[test]
fn bands_rise_and_agree_with_classes_where_both_have_an_edge() {
    let mut last = NectarBand::Low;
    for step in 0..2_000 {
        let dha = normalised(f64::from(step) * 10.0);
        let band = NectarBand::of(dha);
        assert!(band >= last);
        last = band;
        let class = NectarClass::of(dha.ratio());
        assert_eq!(class == NectarClass::Low, band == NectarBand::Low, "{dha:?}");
        assert_eq!(class == NectarClass::High, band >= NectarBand::High, "{dha:?}");
    }
    assert_eq!(last, NectarBand::Exceptional);
}

/// Standard atomic weights (IUPAC, abridged; from memory): C 12.011, H 1.008, O 15.999.
#[test]
fn molar_masses_follow_from_atomic_weights() {
    let (c, h, o) = (12.011, 1.008, 15.999);
    let dha = 3.0 * c + 6.0 * h + 3.0 * o;
    let water = 2.0 * h + o;
    assert!((DHA_G_PER_MOL - dha).abs() < 0.01);
    assert!((MGO_G_PER_MOL - (dha - water)).abs() < 0.01, "less one water");
    assert!((MGO_CEILING - 0.79996).abs() < 1e-4);
    let ceiling = Mgo::ceiling_of(normalised(10_000.0));
    assert!((ceiling.mg_per_kg() - 7_999.6).abs() < 1.0);
}

/// Pairs of a published chart of MGO and activity, after Adams et al. 2008, Carbohydrate Research,
/// with the correction of 2009.
const CHART: [(f64, f64); 8] = [
    (83.0, 5.0),
    (263.0, 10.0),
    (514.0, 15.0),
    (573.0, 16.0),
    (696.0, 18.0),
    (829.0, 20.0),
    (1_200.0, 25.0),
    (1_449.0, 28.0),
];

#[test]
fn activity_and_methylglyoxal_follow_the_published_chart() {
    for (mg_per_kg, percent) in CHART {
        let activity = Mgo::new(mg_per_kg).expect("an amount").activity();
        assert!((activity.percent_phenol() - percent).abs() < 0.05, "{mg_per_kg}: {activity:?}");
        let mgo = NonPeroxideActivity::new(percent).expect("an activity").mgo();
        assert!((mgo.mg_per_kg() - mg_per_kg).abs() < 1.0, "{percent}: {mgo:?}");
    }
}

/// Molan 2015: the scale is not proportional, and the assay tells nothing below about 8.
#[test]
fn twice_the_activity_is_not_twice_the_methylglyoxal() {
    let mgo = |percent| NonPeroxideActivity::new(percent).expect("an activity").mgo().mg_per_kg();
    assert!((mgo(20.0) / mgo(10.0) - 829.0 / 263.0).abs() < 0.02);
    let is_measurable =
        |percent| NonPeroxideActivity::new(percent).expect("an activity").is_measurable();
    assert!(!is_measurable(7.9) && is_measurable(8.0));
}

#[test]
fn there_and_back_is_where_it_was() {
    for step in 1..=150 {
        let mgo = Mgo::new(f64::from(step) * 10.0).expect("an amount");
        let back = mgo.activity().mgo();
        assert!((back.mg_per_kg() / mgo.mg_per_kg() - 1.0).abs() < 2e-3, "{mgo:?} {back:?}");
    }
}

/// The error of a mean is the deviation over √n: with 40 % spread among trees (common practice, no
/// source) 17.9, 12.6, 8.9 and 7.3 % at 5, 10, 20 and 30 trees (worked out by hand).
#[test]
fn more_trees_make_a_surer_mean() {
    let mean = ratio(0.01);
    for (trees, percent) in [(5, 17.9), (10, 12.6), (20, 8.9), (30, 7.3)] {
        let line = Nectar { ratio_mean: mean, ratio_sd: Some(0.004), trees: Some(trees) };
        let error = line.relative_error().expect("known");
        assert!((error * 100.0 - percent).abs() < 0.05, "{trees} trees: {error}");
    }
    let unsure = Nectar { ratio_mean: mean, ratio_sd: Some(0.004), trees: None };
    assert_eq!((unsure.ratio_error(), unsure.relative_error()), (None, None));
    let nothing = Nectar { ratio_mean: ratio(0.0), ratio_sd: Some(0.0), trees: Some(9) };
    assert_eq!(nothing.relative_error(), None, "no share of nothing");
}

#[test]
fn an_amount_that_is_none_is_refused() {
    for wrong in [-1e-9, f64::NAN, f64::INFINITY] {
        assert_eq!(DhaRatio::new(wrong), None);
        assert_eq!(NormalisedDha::new(wrong), None);
        assert_eq!(Mgo::new(wrong), None);
        assert_eq!(NonPeroxideActivity::new(wrong), None);
    }
}
