//! Tests as they are written, pieces that hang together, and rule files that cannot be.

#![allow(clippy::float_cmp, reason = "the same height comes back, not one near it")]

use std::path::Path;

use geo::{Coord, MapCoords, MultiPolygon, Polygon, Rotate, polygon};
use proptest::prelude::*;

use super::compare::{Compare, Found, Verdict};
use super::judge::reached_by;
use super::pieces::join;
use super::rule::{Quantity, Rule};
use super::rule_file::{parse_rule, rules};

fn built_in(id: &str) -> Rule {
    rules(None).unwrap().into_iter().find(|rule| rule.rule_id == id).unwrap()
}

/// What the tests of a rule set on one quantity say of a figure.
fn verdicts(rule: &Rule, measure: Quantity, figure: f64) -> Vec<Verdict> {
    let mine = rule.tests.iter().filter(|test| test.measure == measure);
    mine.map(|test| Found::known(figure).verdict(test.compare, test.value)).collect()
}

/// Forest land: at least 1 ha, at least 30 m wide on the mean, more than 30 % under crowns, species that reach
/// 5 m there (the ministry's pages on forest land; Climate Change Response Act 2002, section 4, from memory).
#[test]
fn forest_land_at_its_edges() {
    let rule = built_in("carbon_forest_land");
    let cases = [
        (Quantity::AreaHa, 0.99, 1.0),
        (Quantity::MeanWidthM, 29.9, 30.0),
        (Quantity::MatureHeightM, 4.9, 5.0),
        (Quantity::CrownShare, 0.300, 0.301),
        // Three tenths reckoned in two ways that differ in the last digit are the same.
        (Quantity::CrownShare, 0.1 + 0.2, 0.3001),
    ];
    for (measure, short, enough) in cases {
        assert_eq!(verdicts(&rule, measure, short), [Verdict::DoesNotMeet], "{measure:?} {short}");
        assert_eq!(verdicts(&rule, measure, enough), [Verdict::Meets], "{measure:?} {enough}");
    }
    assert_eq!(rule.tests.len(), 4);
}

/// A grant of 2018-20: 5 to 300 ha, wider than 30 m, 750 living stems a hectare after two years (grant terms).
#[test]
fn the_grant_at_its_edges() {
    let rule = built_in("grant_manuka_2018");
    let all = |measure, figure| {
        verdicts(&rule, measure, figure).iter().all(|verdict| *verdict == Verdict::Meets)
    };
    assert!(!all(Quantity::AreaHa, 4.99) && all(Quantity::AreaHa, 5.0));
    assert!(all(Quantity::AreaHa, 300.0) && !all(Quantity::AreaHa, 300.01));
    assert!(!all(Quantity::MeanWidthM, 30.0) && all(Quantity::MeanWidthM, 30.1));
    assert!(!all(Quantity::LiveSph, 749.9) && all(Quantity::LiveSph, 750.0));
    let years: Vec<Option<f64>> =
        rule.tests.iter().filter(|test| test.measure.has_years()).map(|test| test.years).collect();
    assert_eq!(years, [Some(2.0)]);
}

proptest! {
    /// More is never worse where something is asked at least, nor better where it is asked at most; and what
    /// lies between two bounds is judged only where every figure between them is judged so.
    #[test]
    fn verdicts_follow_the_figure(
        asked in 0.0_f64..100.0,
        figures in prop::collection::vec(0.0_f64..100.0, 2..20),
        on_the_edge: bool,
    ) {
        let mut figures = figures;
        if on_the_edge {
            figures.push(asked);
        }
        figures.sort_by(f64::total_cmp);
        let found = Found { least: figures[0], most: *figures.last().unwrap() };
        for compare in Compare::ALL {
            let each: Vec<Verdict> =
                figures.iter().map(|one| Found::known(*one).verdict(compare, asked)).collect();
            prop_assert!(!each.contains(&Verdict::CannotBeTold));
            let grows = matches!(compare, Compare::AtLeast | Compare::MoreThan);
            let in_order = |two: &[Verdict]| {
                if grows { two[0] <= two[1] } else { two[0] >= two[1] }
            };
            prop_assert!(each.windows(2).all(in_order));
            let together = if each.iter().all(|one| *one == each[0]) { each[0] } else { Verdict::CannotBeTold };
            prop_assert_eq!(found.verdict(compare, asked), together);
        }
        let opposite = |one, other| {
            let [one, other] = [one, other].map(|compare| Found::known(figures[0]).verdict(compare, asked));
            one != other
        };
        prop_assert!(opposite(Compare::AtLeast, Compare::LessThan));
        prop_assert!(opposite(Compare::AtMost, Compare::MoreThan));
    }

    /// The greatest height that a share of the ground reaches, by trying every height.
    #[test]
    fn heights_reached_by_a_share(
        heights in prop::collection::vec((0.1_f64..12.0, 0.01_f64..50.0), 1..8),
        share in 0.0_f64..1.0,
    ) {
        let all: f64 = heights.iter().map(|(_, m2)| m2).sum();
        let reach = |height: f64| -> f64 {
            heights.iter().filter(|(one, _)| *one >= height).map(|(_, m2)| m2).sum()
        };
        let most = heights
            .iter()
            .map(|(height, _)| *height)
            .filter(|height| reach(*height) >= share * all * (1.0 - 1e-9))
            .fold(0.0, f64::max);
        prop_assert_eq!(reached_by(&heights, share), most);
        let lowest = heights.iter().map(|(height, _)| *height).fold(f64::INFINITY, f64::min);
        prop_assert_eq!(reached_by(&heights, 1.0), lowest);
    }

    /// A rectangle that is cut into zones is one piece, as large and as wide as it was.
    #[test]
    fn cuts_do_not_matter(
        length in 120.0_f64..900.0,
        width in 10.0_f64..100.0,
        cuts in prop::collection::btree_set(1_u32..99, 0..6),
        turned_deg in 0.0_f64..90.0,
    ) {
        let places: Vec<f64> = std::iter::once(0.0)
            .chain(cuts.iter().map(|cut| f64::from(*cut) / 100.0 * length))
            .chain([length])
            .collect();
        let strips: Vec<Polygon<f64>> =
            places.windows(2).map(|ends| block(ends[0], 0.0, ends[1] - ends[0], width)).collect();
        let whole = MultiPolygon::new(strips);
        let turned = whole.rotate_around_point(turned_deg, geo::Point::new(1_800_000.0, 5_600_000.0));
        // Corners lie on the millimetre, as those of zones do.
        let turned = turned.map_coords(|at| Coord { x: (at.x * 1e3).round() / 1e3, y: (at.y * 1e3).round() / 1e3 });
        let parts: Vec<&Polygon<f64>> = turned.iter().collect();
        let pieces = join(&parts);
        // Cuts that the millimetre bends may leave slits, which part nothing.
        prop_assert_eq!(pieces.len(), 1);
        prop_assert_eq!(pieces[0].parts.len(), parts.len());
        prop_assert!((pieces[0].plan_m2 - length * width).abs() < 3.0, "{}", pieces[0].plan_m2);
        prop_assert!((pieces[0].mean_width_m - width.min(length)).abs() < 0.02, "{}", pieces[0].mean_width_m);
    }
}

fn block(west: f64, south: f64, width: f64, height: f64) -> Polygon<f64> {
    let (x, y) = (1_800_000.0 + west, 5_600_000.0 + south);
    polygon![(x: x, y: y), (x: x + width, y: y), (x: x + width, y: y + height), (x: x, y: y + height)]
}

#[test]
fn edges_join_and_corners_do_not() {
    let [home, beside, corner, far] = [
        block(0.0, 0.0, 100.0, 60.0),
        block(100.0, 20.0, 50.0, 60.0), // shares 40 m of an edge, both ends of it inside other edges
        block(150.0, 80.0, 10.0, 10.0), // meets the one before in a point
        block(300.0, 0.0, 10.0, 10.0),
    ];
    let pieces = join(&[&far, &home, &corner, &beside]);
    let parts: Vec<Vec<usize>> = pieces.iter().map(|piece| piece.parts.clone()).collect();
    assert_eq!(parts.len(), 3, "{parts:?}");
    assert_eq!(parts[0], [1, 3]);
    assert!((pieces[0].plan_m2 - 9_000.0).abs() < 1e-6);
}

/// From outlines through the rule engine: a hectare to the square metre, a strip to the decimetre.
#[test]
fn forest_land_from_outlines() {
    let rule = built_in("carbon_forest_land");
    let judged = |one: Polygon<f64>, other: Polygon<f64>| {
        let pieces = join(&[&one, &other]);
        assert_eq!(pieces.len(), 1);
        [
            (Quantity::AreaHa, pieces[0].plan_m2 / 1e4),
            (Quantity::MeanWidthM, pieces[0].mean_width_m),
        ]
        .map(|(measure, figure)| verdicts(&rule, measure, figure)[0])
    };
    let two = |length: f64, width: f64| {
        judged(block(0.0, 0.0, 50.0, width), block(50.0, 0.0, length - 50.0, width))
    };
    assert_eq!(two(100.0, 100.0), [Verdict::Meets, Verdict::Meets]);
    assert_eq!(two(100.0, 99.0), [Verdict::DoesNotMeet, Verdict::Meets]);
    assert_eq!(two(400.0, 30.0), [Verdict::Meets, Verdict::Meets]);
    assert_eq!(two(400.0, 29.9), [Verdict::Meets, Verdict::DoesNotMeet]);
}

const SOUND: &str = "\
name = \"a made-up scheme\"
jurisdiction = \"nowhere\"
state = \"in_force\"
check_with = \"its makers\"
[source]
author = \"nobody\"
title = \"terms\"
date = 2024-07-01
[[test]]
measure = \"area_ha\"
compare = \"at_least\"
value = 2
[[test]]
measure = \"live_sph\"
compare = \"more_than\"
value = 900
years = 3
";

/// What is wrong with the sound text when a piece of it is replaced: key and found.
fn faults(from: &str, to: &str) -> Vec<(String, String)> {
    assert!(SOUND.contains(from), "{from}");
    let problems = parse_rule(&SOUND.replacen(from, to, 1), Path::new("made_up.toml")).unwrap_err();
    for problem in &problems {
        assert_eq!(problem.file.as_deref(), Some(Path::new("made_up.toml")));
        assert!(problem.place.is_some(), "{problem:?}");
        assert!(!problem.expected.is_empty() && !problem.remedy.is_empty(), "{problem:?}");
    }
    problems.into_iter().map(|problem| (problem.item, problem.found)).collect()
}

#[test]
fn every_fault_of_a_rule_file_is_named() {
    let rule = parse_rule(SOUND, Path::new("made_up.toml")).unwrap();
    assert_eq!((rule.rule_id.as_str(), rule.source.date.as_str()), ("made_up", "2024-07-01"));
    let cases = [
        ("jurisdiction", "jurisdictoin", "jurisdiction", "nothing"),
        ("name = \"a made-up scheme\"", "name = \" \"", "name", "an empty text"),
        ("name = \"a made-up scheme\"", "name = 3", "name", "no text"),
        ("state = \"in_force\"", "state = \"in force\"", "state", "`in force`"),
        ("title = \"terms\"\n", "", "source.title", "nothing"),
        ("date = 2024-07-01\n", "", "source.date", "nothing"),
        ("date = 2024-07-01", "date = \"last year\"", "source.date", "`last year`"),
        ("[source]", "[sauce]", "source", "nothing"),
        ("value = 2", "value = -2", "test[1].value", "-2"),
        ("value = 2", "value = nan", "test[1].value", "NaN"),
        ("value = 2", "value = inf", "test[1].value", "inf"),
        ("value = 2", "value = \"2 ha\"", "test[1].value", "no number"),
        ("value = 2\n", "", "test[1].value", "nothing"),
        ("value = 2", "value = 2\nyears = 4", "test[1].years", "beside `area_ha`"),
        ("value = 2", "value = 2\nhectares = 4", "test[1].hectares", "not known"),
        ("area_ha", "area_acres", "test[1].measure", "`area_acres`"),
        ("at_least", "atleast", "test[1].compare", "`atleast`"),
        ("years = 3\n", "", "test[2].years", "nothing"),
        ("check_with = ", "ask = [3]\ncheck_with = ", "ask", "something else"),
    ];
    for (from, to, item, found) in cases {
        let told = faults(from, to);
        assert!(
            told.iter().any(|(key, was)| key == item && was.contains(found)),
            "{from} → {to}: {told:?}"
        );
    }
    let bare = parse_rule("name = \"x\"", Path::new("x.toml")).unwrap_err();
    let items: Vec<&str> = bare.iter().map(|problem| problem.item.as_str()).collect();
    for key in ["jurisdiction", "state", "check_with", "source", "test"] {
        assert!(items.contains(&key), "{key}: {items:?}");
    }
    assert!(parse_rule("name = ", Path::new("x.toml")).is_err());
    let misspelt =
        parse_rule(&SOUND.replace("measure", "meassure"), Path::new("x.toml")).unwrap_err();
    assert!(misspelt.iter().any(|one| one.remedy.contains("`measure`")), "{misspelt:?}");
}

proptest! {
    /// Whatever stands in the file, reading ends with a rule set or with its faults.
    #[test]
    fn no_text_stops_the_reading(at in 0_usize..SOUND.len(), cut in 0_usize..30, put in "[\\[\\]=\"a-z0-9. \n-]{0,12}") {
        let end = (at + cut).min(SOUND.len());
        let text = format!("{}{put}{}", &SOUND[..at], &SOUND[end..]);
        if let Err(problems) = parse_rule(&text, Path::new("x.toml")) {
            prop_assert!(!problems.is_empty());
        }
    }
}
