//! Steps along cells become lines: by hand, and never further off than they may be.

use super::*;
use crate::lattice::trace;
use proptest::prelude::*;
use std::collections::BTreeSet;

const LATTICE: Lattice =
    Lattice { cols: 9, rows: 9, west: 0.0, north: 0.0, cell_width: 2.0, cell_height: 2.0 };

fn lines(arcs: &[Arc], tolerance: i64) -> Vec<Line> {
    let grid = PrecisionGrid::around([0.0, 0.0]).unwrap();
    straighten(arcs, &LATTICE, &grid, tolerance).unwrap()
}

#[test]
fn a_flight_of_steps_becomes_one_straight_line() {
    let mut corners = vec![[0, 0]];
    for step in 0..8 {
        corners.extend([[step + 1, step], [step + 1, step + 1]]);
    }
    let arc = Arc { corners, left: Some(1), right: Some(2), is_ring: false };
    let line = &lines(std::slice::from_ref(&arc), 2000)[0];
    assert_eq!(line.kept.len(), 2);
    assert_eq!(lines(&[arc], 0)[0].kept.len(), 17);
}

#[test]
fn a_single_cell_keeps_four_points() {
    let mut labels = [1; 81];
    labels[40] = 2;
    for tolerance in [0, 2_000, 50_000] {
        let lines = lines(&trace(&labels, 9, 9), tolerance);
        assert!(lines.iter().all(|line| line.path().collect::<BTreeSet<_>>().len() >= 4));
    }
}

fn reversed(arc: &Arc) -> Arc {
    let mut arc = arc.clone();
    arc.corners.reverse();
    (arc.left, arc.right) = (arc.right, arc.left);
    arc
}

proptest! {
    #[test]
    fn direction_makes_no_difference_and_no_point_strays(
        labels in proptest::collection::vec(0_u32..3, 81),
        tolerance in 0_i64..5_000,
    ) {
        let arcs = trace(&labels, 9, 9);
        let forth = lines(&arcs, tolerance);
        let back = lines(&arcs.iter().map(reversed).collect::<Vec<_>>(), tolerance);
        for (forth, back) in forth.iter().zip(&back) {
            let set = |line: &Line| line.path().collect::<BTreeSet<_>>();
            prop_assert_eq!(set(forth), set(back));
            for pair in forth.kept.windows(2) {
                let (start, end) = (pair[0] as usize, pair[1] as usize);
                if let Some((_, offset)) = farthest(&forth.points, start, end) {
                    prop_assert!(!offset.exceeds(tolerance));
                }
            }
        }
        prop_assert!(tangled(&forth, &vec![true; forth.len()]).is_empty());
    }
}

fn flight(steps: u32) -> Arc {
    let mut corners = vec![[0, 0]];
    for step in 0..steps {
        corners.extend([[step + 1, step], [step + 1, step + 1]]);
    }
    Arc { corners, left: Some(1), right: Some(2), is_ring: false }
}

/// Through the middles of its edges, 1 m from each corner, a flight of steps of 2 m strays
/// √½ m from the line between its ends, through its corners √2 m.
#[test]
fn a_flight_of_steps_is_led_through_the_middles_of_its_edges() {
    let kept = |arc: Arc, tolerance: i64| lines(&[arc], tolerance)[0].kept.len();
    assert_eq!(kept(flight(8), 708), 2);
    assert!(kept(flight(8), 707) > 2);
    // The edge of the lattice is left alone.
    for (left, right) in [(None, Some(1)), (Some(1), None)] {
        assert_eq!(kept(Arc { left, right, ..flight(8) }, 5_000), 17);
    }
}

/// A square with a point at every step: of its ring only the corners are kept; of the same points
/// as a line that does not close, likewise its ends.
#[test]
fn a_straight_run_is_left_out_of_rings_and_lines() {
    let side = 8;
    let mut points: Vec<Point> = Vec::new();
    points.extend((0..side).map(|at| Point { x: at, y: 0 }));
    points.extend((0..side).map(|at| Point { x: side, y: at }));
    points.extend((0..side).map(|at| Point { x: side - at, y: side }));
    points.extend((0..side).map(|at| Point { x: 0, y: side - at }));
    points.push(points[0]);
    assert_eq!(kept(&points, true, 0), [0, 8, 16, 24, 32]);
    // A ring keeps these whatever the tolerance, so that it encloses something.
    assert_eq!(kept(&points, true, 1_000), [0, 8, 16, 24, 32]);
    assert_eq!(kept(&points[..20], false, 0), [0, 8, 16, 19]);
    assert_eq!(kept(&points[..20], false, 1_000), [0, 19]);
    // Of one with no point to spare all are kept.
    assert_eq!(kept(&[points[0], points[8], points[16], points[0]], true, 1_000), [0, 1, 2, 3]);
}

#[test]
fn a_point_is_too_far_only_beyond_the_tolerance() {
    let [a, b] = [Point { x: 0, y: 0 }, Point { x: 10, y: 0 }];
    // 3 steps aside; 5 beyond an end, by 3 and 4; and 5 from a line without length.
    for (p, a, b, away) in [
        (Point { x: 4, y: 3 }, a, b, 3),
        (Point { x: 0, y: -3 }, a, b, 3),
        (Point { x: 13, y: 4 }, a, b, 5),
        (Point { x: -3, y: -4 }, a, b, 5),
        (Point { x: 3, y: 4 }, a, a, 5),
    ] {
        let offset = Offset::new(p, a, b);
        assert!(!offset.exceeds(away) && offset.exceeds(away - 1), "{p:?}");
    }
}

#[test]
fn the_finest_tolerance_is_a_quarter_of_the_shorter_side() {
    assert_eq!(finest_tolerance(&LATTICE), 500);
    assert_eq!(finest_tolerance(&Lattice { cell_width: 5.0, ..LATTICE }), 500);
    assert_eq!(finest_tolerance(&Lattice { cell_height: 1.2, ..LATTICE }), 300);
}

/// Of a run of one edge its middle once, of a longer one the first and the last; ends stay.
#[test]
fn middles_are_half_a_cell_from_corners() {
    let corners = vec![[1, 1], [4, 1], [4, 2], [2, 2]];
    let arc = |corners, is_ring| Arc { corners, left: Some(1), right: Some(2), is_ring };
    assert_eq!(
        middles(&arc(corners, false)),
        [[2, 2], [3, 2], [7, 2], [8, 3], [7, 4], [5, 4], [4, 4]]
    );
    let ring = vec![[1, 1], [2, 1], [2, 3], [1, 3], [1, 1]];
    assert_eq!(middles(&arc(ring, true)), [[3, 2], [4, 3], [4, 5], [3, 6], [2, 5], [2, 3], [3, 2]]);
}

#[test]
fn a_ring_starts_and_ends_at_its_westernmost_then_southernmost_point() {
    let point = |(x, y)| Point { x, y };
    let mut points = [(5, 0), (9, 3), (2, 7), (2, 4), (5, 0)].map(point).to_vec();
    start_at_lowest(&mut points);
    assert_eq!(points, [(2, 4), (5, 0), (9, 3), (2, 7), (2, 4)].map(point));
}

/// The exact squared distance to the line between two points, as a fraction, one point at a time.
fn slow_offset(p: Point, a: Point, b: Point) -> (i128, i128) {
    let [ax, ay, bx, by] = [p.x - a.x, p.y - a.y, p.x - b.x, p.y - b.y].map(i128::from);
    let (east, north) = (ax - bx, ay - by);
    let base = east * east + north * north;
    if ax * east + ay * north <= 0 {
        (ax * ax + ay * ay, 1)
    } else if bx * east + by * north >= 0 {
        (bx * bx + by * by, 1)
    } else {
        ((ax * by - ay * bx).pow(2), base)
    }
}

/// Which positions are kept between two, by the rule as it was first told.
fn slow_kept(points: &[Point], [start, end]: [usize; 2], tolerance: i64) -> BTreeSet<u32> {
    let mut found = BTreeSet::from([start as u32, end as u32]);
    let offset = |i: usize| slow_offset(points[i], points[start], points[end]);
    let mut most: Option<usize> = None;
    for i in start + 1..end {
        let is_more = most.is_none_or(|most| {
            let ([scaled, divisor], [known, by]) =
                (<[i128; 2]>::from(offset(i)), <[i128; 2]>::from(offset(most)));
            let order = (scaled * by).cmp(&(known * divisor));
            order.then(points[most].cmp(&points[i])).is_gt()
        });
        if is_more {
            most = Some(i);
        }
    }
    if let Some(most) = most {
        let (scaled, divisor) = offset(most);
        if scaled > i128::from(tolerance).pow(2) * divisor {
            found.extend(slow_kept(points, [start, most], tolerance));
            found.extend(slow_kept(points, [most, end], tolerance));
        }
    }
    found
}

proptest! {
    /// Slow twin: Douglas and Peucker's rule, step by step in exact fractions.
    #[test]
    fn what_is_kept_is_what_the_rule_says(
        // Each point once, in any order.
        points in proptest::collection::hash_set((-20_i64..20, -20_i64..20), 2..25),
        tolerance in 0_i64..15,
    ) {
        let points: Vec<Point> = points.into_iter().map(|(x, y)| Point { x, y }).collect();
        let found: BTreeSet<u32> = kept(&points, false, tolerance).into_iter().collect();
        prop_assert_eq!(found, slow_kept(&points, [0, points.len() - 1], tolerance));
    }

    /// The same of a ring, between the point farthest from its first and, on either way there, the
    /// one that stands out most.
    #[test]
    fn a_ring_keeps_what_the_rule_says_between_four_points(
        points in proptest::collection::hash_set((-20_i64..20, -20_i64..20), 5..25),
        tolerance in 0_i64..15,
    ) {
        let mut points: Vec<Point> = points.into_iter().map(|(x, y)| Point { x, y }).collect();
        points.push(points[0]);
        let last = points.len() - 1;
        let away = |i: &usize| {
            let (east, north) = (points[*i].x - points[0].x, points[*i].y - points[0].y);
            (east * east + north * north, std::cmp::Reverse(points[*i]))
        };
        let far = (1..last).max_by_key(away).unwrap();
        let mut expected = BTreeSet::new();
        for [start, end] in [[0, far], [far, last]] {
            let stands_out = |i: &usize| {
                let (scaled, divisor) = slow_offset(points[*i], points[start], points[end]);
                // All are over the same base, or over 1.
                let base = points[end].distance_squared(points[start]);
                let over = if divisor == 1 { i128::from(base) } else { 1 };
                (scaled * over, std::cmp::Reverse(points[*i]))
            };
            match (start + 1..end).max_by_key(stands_out) {
                Some(out) => {
                    expected.extend(slow_kept(&points, [start, out], tolerance));
                    expected.extend(slow_kept(&points, [out, end], tolerance));
                }
                None => expected.extend([start as u32, end as u32]),
            }
        }
        let found: BTreeSet<u32> = kept(&points, true, tolerance).into_iter().collect();
        prop_assert_eq!(found, expected);
    }
}
