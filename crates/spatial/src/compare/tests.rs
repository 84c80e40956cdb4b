//! Laws of comparing: nothing differs from itself, the mirror image is the same, and hectares add up.

use std::collections::BTreeMap;

use geo::{Area, MultiPolygon, Polygon};
use proptest::prelude::*;

use super::ground::Part;
use super::matrix::{Matrix, add, changed};
use super::overlay::{Piece, overlay};
use super::zones::matched;

const WIDE_M: f64 = 1_000.0;

/// A strip of a property of 1 km by 400 m, cut at places along it; each part has a corner more on its border.
fn strips(cuts: &[u32]) -> Vec<MultiPolygon<f64>> {
    let mut edges: Vec<f64> = cuts.iter().map(|cut| f64::from(*cut)).chain([0.0, WIDE_M]).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    let strip = |edge: &[f64]| {
        let lean = |x: f64| if x > 0.0 && x < WIDE_M { x + 3.0 } else { x };
        let corners = vec![
            (edge[0], 0.0),
            (edge[1], 0.0),
            (lean(edge[1]), 200.0),
            (edge[1], 400.0),
            (edge[0], 400.0),
            (lean(edge[0]), 200.0),
        ];
        MultiPolygon::from(Polygon::new(corners.into(), vec![]))
    };
    edges.windows(2).map(strip).collect()
}

/// The same property cut across.
fn bands(cuts: &[u32]) -> Vec<MultiPolygon<f64>> {
    let mut edges: Vec<f64> =
        cuts.iter().map(|cut| f64::from(*cut) * 0.4).chain([0.0, 400.0]).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    let band = |edge: &[f64]| {
        let corners = vec![(0.0, edge[0]), (WIDE_M, edge[0]), (WIDE_M, edge[1]), (0.0, edge[1])];
        MultiPolygon::from(Polygon::new(corners.into(), vec![]))
    };
    edges.windows(2).map(band).collect()
}

fn laid(a: &[MultiPolygon<f64>], b: &[MultiPolygon<f64>]) -> Vec<Piece> {
    overlay(&a.iter().collect::<Vec<_>>(), &b.iter().collect::<Vec<_>>()).unwrap()
}

fn area(pieces: &[Piece], wanted: impl Fn(&Piece) -> bool) -> f64 {
    pieces.iter().filter(|piece| wanted(piece)).map(|piece| piece.area.unsigned_area()).sum()
}

fn mixture() -> impl Strategy<Value = BTreeMap<String, f64>> {
    prop::collection::btree_map("[a-e]", 1_u32..100, 1..4).prop_map(|parts| {
        let sum: u32 = parts.values().sum();
        parts.into_iter().map(|(name, part)| (name, f64::from(part) / f64::from(sum))).collect()
    })
}

/// Worked by hand: of half and half to a quarter, half and a quarter, half stays, and a quarter of each changes.
#[test]
fn a_mixture_changes_by_what_is_left_over() {
    let mix = |parts: &[(&str, f64)]| {
        parts.iter().map(|(name, share)| ((*name).to_owned(), *share)).collect()
    };
    let mut matrix = Matrix::new();
    add(
        &mut matrix,
        &mix(&[("a", 0.5), ("b", 0.5)]),
        &mix(&[("a", 0.25), ("b", 0.5), ("c", 0.25)]),
        8.0,
    );
    let told: Vec<_> = matrix.iter().map(|((a, b), ha)| (a.as_str(), b.as_str(), *ha)).collect();
    assert_eq!(told, [("a", "a", 2.0), ("a", "c", 2.0), ("b", "b", 4.0)]);
    assert!((changed(&matrix) - 2.0).abs() < 1e-12);
}

/// Side by side on a strip 10 m high, so that a metre along it is a thousandth of a hectare.
fn along(parts: &[(&str, f64, f64)]) -> Vec<Part> {
    let part = |(id, from, to): &(&str, f64, f64)| Part {
        id: (*id).to_owned(),
        is_zone: !id.starts_with("clear"),
        on_it: BTreeMap::new(),
        stems_ha: 0.0,
        area: MultiPolygon::from(Polygon::new(
            vec![(*from, 0.0), (*to, 0.0), (*to, 10.0), (*from, 10.0)].into(),
            vec![],
        )),
    };
    parts.iter().map(part).collect()
}

/// Worked by hand: one zone stays, one is cut in two unlike parts, one in two halves, of which the first is its heir,
/// and one goes under in ground that was kept clear.
#[test]
fn zones_are_the_same_redrawn_new_or_gone() {
    let from = along(&[
        ("stays", 0.0, 40.0),
        ("shrinks", 40.0, 100.0),
        ("small", 100.0, 110.0),
        ("clear", 110.0, 200.0),
        ("halved", 200.0, 300.0),
    ]);
    let to = along(&[
        ("again", 0.0, 40.0),
        ("most", 40.0, 80.0),
        ("rest", 80.0, 100.0),
        ("wide", 100.0, 200.0),
        ("west", 200.0, 250.0),
        ("east", 250.0, 300.0),
    ]);
    let [of_from, of_to] = [&from, &to].map(|parts| {
        parts.iter().map(|part| part.area.clone()).collect::<Vec<MultiPolygon<f64>>>()
    });
    let (counts, rows) = matched(&from, &to, &laid(&of_from, &of_to));
    assert_eq!((counts.same, counts.redrawn, counts.new, counts.gone), (1, 2, 3, 1));
    let metres = |ha: f64| (ha * 1e3).round() as i32;
    let told: Vec<_> = rows
        .iter()
        .map(|row| {
            let [a, b] = [&row.a_zone, &row.b_zone].map(|zone| zone.as_deref().unwrap_or("-"));
            let [a_m, b_m] = [row.a_plan_ha, row.b_plan_ha].map(|ha| ha.map(metres));
            (row.change, a, b, a_m, b_m, metres(row.shared_plan_ha))
        })
        .collect();
    assert_eq!(
        told,
        [
            ("redrawn", "shrinks", "most", Some(60), Some(40), 40),
            ("redrawn", "halved", "west", Some(100), Some(50), 50),
            ("gone", "small", "-", Some(10), None, 10),
            ("new", "-", "rest", None, Some(20), 20),
            ("new", "-", "wide", None, Some(100), 10),
            ("new", "-", "east", None, Some(50), 50),
        ]
    );
}

#[test]
fn ground_of_one_plan_alone_is_outside_the_other() {
    let a = strips(&[500]);
    let b = vec![a[0].clone()];
    let pieces = laid(&a, &b);
    assert_eq!(
        pieces.iter().map(|piece| (piece.from, piece.to)).collect::<Vec<_>>(),
        [(Some(0), Some(0)), (Some(1), None)]
    );
}

proptest! {
    #[test]
    fn nothing_differs_from_itself(cuts in prop::collection::vec(10_u32..990, 0..8)) {
        let parts = strips(&cuts);
        let pieces = laid(&parts, &parts);
        prop_assert_eq!(pieces.len(), parts.len());
        prop_assert!(pieces.iter().all(|piece| piece.is_same && piece.from == piece.to));
    }

    /// Slow twin: each pair by `geo`'s boolean operations.
    #[test]
    fn pieces_tile_the_ground_and_are_the_cuts_of_each_pair(
        a in prop::collection::vec(10_u32..990, 0..6),
        b in prop::collection::vec(10_u32..990, 0..6),
        across in any::<bool>(),
    ) {
        use geo::BooleanOps;
        let from = strips(&a);
        let to = if across { bands(&b) } else { strips(&b) };
        let pieces = laid(&from, &to);
        let whole = WIDE_M * 400.0;
        prop_assert!((area(&pieces, |_| true) - whole).abs() <= 1e-6 * whole);
        for (at, one) in from.iter().enumerate() {
            // Leaning borders are snapped to a millimetre where they cross others.
            prop_assert!((area(&pieces, |piece| piece.from == Some(at)) - one.unsigned_area()).abs() <= 1.0);
            for (with, other) in to.iter().enumerate() {
                let expected = one.intersection(other).unsigned_area();
                let found = area(&pieces, |piece| (piece.from, piece.to) == (Some(at), Some(with)));
                prop_assert!((found - expected).abs() <= 1.0, "{found} and {expected}");
            }
        }
        let mirrored = laid(&to, &from);
        for piece in &pieces {
            let twin = area(&mirrored, |one| (one.to, one.from) == (piece.from, piece.to));
            prop_assert!((twin - piece.area.unsigned_area()).abs() <= 1e-6);
        }
        prop_assert_eq!(pieces.len(), mirrored.len());
    }

    #[test]
    fn rows_and_columns_add_up_and_the_mirror_is_the_same(a in mixture(), b in mixture(), hectares in 0.01..100.0_f64) {
        let (mut there, mut back) = (Matrix::new(), Matrix::new());
        add(&mut there, &a, &b, hectares);
        add(&mut back, &b, &a, hectares);
        for (name, share) in &a {
            let row: f64 = there.iter().filter(|((from, _), _)| from == name).map(|(_, ha)| ha).sum();
            prop_assert!((row - share * hectares).abs() <= 1e-9 * hectares);
        }
        for (name, share) in &b {
            let column: f64 = there.iter().filter(|((_, to), _)| to == name).map(|(_, ha)| ha).sum();
            prop_assert!((column - share * hectares).abs() <= 1e-9 * hectares);
        }
        for ((from, to), ha) in &there {
            let twin = back.get(&(to.clone(), from.clone())).copied().unwrap_or_default();
            prop_assert!((twin - ha).abs() <= 1e-9 * hectares);
        }
        let mut same = Matrix::new();
        add(&mut same, &a, &a, hectares);
        prop_assert!(changed(&same) == 0.0);
    }
}
