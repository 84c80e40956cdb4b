//! Samples find their trees, and trees their stands.

use std::fmt::Write as _;

use geo::{MultiPolygon, Rect, coord, polygon};
use proptest::prelude::*;

use super::*;
use crate::seed::on_property;
use crate::zones::{GroundStatistics, Stand};

const EAST: f64 = 1_800_000.0;
const NORTH: f64 = 5_600_000.0;

fn square(west: f64, south: f64, long: f64) -> MultiPolygon<f64> {
    let from = coord! { x: EAST + west, y: NORTH + south };
    Rect::new(from, from + coord! { x: long, y: long }).to_polygon().into()
}

/// Half a square: its south-western corner and how long its legs are.
fn triangle([west, south, long]: [f64; 3]) -> MultiPolygon<f64> {
    let [x, y] = [EAST + west, NORTH + south];
    polygon![(x: x, y: y), (x: x + long, y: y), (x: x, y: y + long)].into()
}

fn stand(id: &str, geometry: MultiPolygon<f64>) -> Stand {
    Stand {
        id: id.to_owned(),
        cover: 0,
        geometry,
        plan_m2: 1.0,
        statistics: GroundStatistics::default(),
    }
}

#[test]
fn samples_find_their_trees() {
    let lab_rows = "T02,2026-12-20,2640,20,L1,1,1800020,5600022\nT01,2026-12-21,2640,20\nT02,2027-01-05,2500,20\n";
    let field_rows =
        "T01,1800000,5600000,4\nT02,1800020,5600000,5\nT03,1800040,5600000\nT04,1800020,5600000\n";
    let joined = joined(lab_rows, field_rows).unwrap();
    let told: Vec<_> = joined
        .trees
        .iter()
        .map(|one| {
            (&*one.tree.tree_id, one.samples.iter().map(|sample| sample.row).collect::<Vec<_>>())
        })
        .collect();
    assert_eq!(told, [("T01", vec![3]), ("T02", vec![2, 4])]);
    let warned: Vec<_> =
        joined.warnings.iter().map(|one| (one.place.unwrap(), &*one.found)).collect();
    assert_eq!(
        warned,
        [((5, 2), "the place of `T02` in row 3"), ((4, 1), "no sample of `T03`, `T04`")]
    );
    assert!(joined.warnings.iter().all(|one| !one.is_error() && !one.remedy.is_empty()));
}

#[test]
fn a_tree_that_was_never_seen_and_a_sample_from_elsewhere() {
    let lab_rows = "T1O,2026-12-20,2640,20\nT1O,2026-12-21,2640,20\nT02,2026-12-20,2640,20,L1,1,1800020,5600031\n\
        xxxxxxxxx,2026-12-20,2640,20\nT03,2026-12-20,2640,20,L1,1,1800040,5600030\n";
    let field_rows = "T10,1800000,5600000\nT02,1800020,5600000\nT03,1800040,5600000\n";
    let problems = joined(lab_rows, field_rows).unwrap_err();
    let told: Vec<_> = problems
        .iter()
        .map(|one| (one.place.unwrap(), one.item.as_str(), one.found.as_str(), one.remedy.as_str()))
        .collect();
    let (never, add) = (
        "`xxxxxxxxx`",
        "add the tree to the field sheet with its coordinates, or take the row out",
    );
    assert_eq!(told.len(), 3, "each tree once, 30 m are near enough: {told:?}");
    assert_eq!(told[0], ((2, 1), "tree `T1O`, tree_id", "`T1O`", "did you mean `T10`?"));
    assert_eq!((told[1].0, told[1].1), ((4, 7), "tree `T02`, easting_m"));
    assert!(told[1].2.contains("31 m") && told[1].3.contains("which tree was sampled"), "{told:?}");
    assert_eq!(told[2], ((5, 1), "tree `xxxxxxxxx`, tree_id", never, add));
}

#[test]
fn trees_find_their_stands() {
    let trees = joined(
        "A,2026-12-20,2640,20\nB,2026-12-20,2640,20\nC,2026-12-20,2640,20\nD,2026-12-20,2640,20\n",
        "A,1800010,5600010\nB,1800020,5600015\nC,1800060,5600060\nD,1800045,5600005\n",
    )
    .unwrap();
    let property = square(0.0, 0.0, 100.0);
    let stands = [stand("S001", square(40.0, 0.0, 10.0)), stand("S002", square(0.0, 0.0, 20.0))];
    let placed = on_property(&trees, &property, &stands).unwrap();
    assert_eq!(placed.stands, [Some(1), Some(1), None, Some(0)], "a border belongs to its stand");
    let [warning] = placed.warnings.as_slice() else { panic!("{:?}", placed.warnings) };
    assert_eq!((warning.place, warning.is_error()), (Some((4, 2)), false));
    assert_eq!(warning.item, "tree `C`, easting_m");
    // From (60, 60) to the corners (50, 10) and (20, 20): 51 and 57 m.
    assert!(warning.found.contains("S001 is nearest, 51 m off"), "{warning}");
    assert!(on_property(&trees, &property, &[]).unwrap().stands.iter().all(Option::is_none));
}

/// 3 m east and 4 m north of the corner: 5 m.
#[test]
fn a_tree_outside_the_property_is_told_with_its_distance() {
    let rows = "A,2026-12-20,2640,20\nB,2026-12-20,2640,20\n";
    let trees = joined(rows, "A,1800050,5600050\nB,1800103,5600104\n").unwrap();
    let problems = on_property(&trees, &square(0.0, 0.0, 100.0), &[]).unwrap_err();
    let [problem] = problems.as_slice() else { panic!("{problems:?}") };
    assert_eq!((problem.place, problem.item.as_str()), (Some((3, 2)), "tree `B`, easting_m"));
    assert_eq!(problem.found, "5 m outside the property");
    assert!(problem.is_error() && problem.remedy.contains("coordinates"), "{problem}");
    let nowhere = on_property(&trees, &MultiPolygon(Vec::new()), &[]).unwrap_err();
    assert!(nowhere[0].found.contains("no ground"), "{}", nowhere[0]);
}

proptest! {
    /// Stands are those that plain comparisons of coordinates give, and what is outside is told.
    #[test]
    fn stands_are_those_of_plain_comparisons(
        places in proptest::collection::vec([0_u32..120, 0_u32..120], 1..12),
        corners in proptest::collection::vec([0_u32..90, 0_u32..90, 1_u32..60], 0..6),
    ) {
        let mut rows = [String::new(), String::new()];
        for (at, [x, y]) in places.iter().enumerate() {
            writeln!(rows[0], "T{at},2026-12-20,2640,20").unwrap();
            writeln!(rows[1], "T{at},{},{}", 1_800_000 + x, 5_600_000 + y).unwrap();
        }
        let trees = joined(&rows[0], &rows[1]).unwrap();
        let property = square(0.0, 0.0, 100.0);
        let drawn = |[x, y, long]: &[u32; 3]| stand("S", triangle([*x, *y, *long].map(f64::from)));
        let stands: Vec<Stand> = corners.iter().map(drawn).collect();
        let is_in_stand = |[x, y]: &[u32; 2], [west, south, long]: &[u32; 3]| {
            x >= west && y >= south && (x - west) + (y - south) <= *long
        };
        let expected: Vec<Option<usize>> = places
            .iter()
            .map(|place| corners.iter().position(|corner| is_in_stand(place, corner)))
            .collect();
        let is_out = |place: &&[u32; 2]| place.iter().any(|metres| *metres > 100);
        let outside = places.iter().filter(is_out).count();
        match on_property(&trees, &property, &stands) {
            Ok(placed) => {
                prop_assert_eq!(outside, 0);
                prop_assert_eq!(placed.warnings.len(), expected.iter().filter(|one| one.is_none()).count());
                prop_assert_eq!(placed.stands, expected);
            }
            Err(problems) => prop_assert_eq!((problems.len(), outside > 0), (outside, true)),
        }
    }

    /// However the rows of both sheets are ordered, each tree has its own samples.
    #[test]
    fn the_order_of_rows_does_not_matter(
        owners in proptest::collection::vec(0_usize..6, 1..20),
        order in Just((0..6).collect::<Vec<usize>>()).prop_shuffle(),
    ) {
        let mut rows = [String::new(), String::new()];
        for (at, owner) in owners.iter().enumerate() {
            writeln!(rows[0], "T{owner},2026-12-20,{},20,L{at}", 1_000 + at).unwrap();
        }
        for tree in &order {
            writeln!(rows[1], "T{tree},{},5600000", 1_800_000 + tree).unwrap();
        }
        let trees = joined(&rows[0], &rows[1]).unwrap().trees;
        let told: Vec<usize> =
            trees.iter().map(|one| one.tree.tree_id[1..].parse().unwrap()).collect();
        let sampled: Vec<usize> = order.into_iter().filter(|tree| owners.contains(tree)).collect();
        prop_assert_eq!(&told, &sampled, "in the order of the field sheet");
        for (tree, own) in trees.iter().zip(told) {
            let expected: Vec<usize> = (0..owners.len()).filter(|at| owners[*at] == own).collect();
            let found: Vec<usize> = tree.samples.iter().map(|one| one.row - 2).collect();
            prop_assert_eq!(found, expected);
        }
    }
}
