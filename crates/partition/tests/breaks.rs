//! Ground cut by break lines, against a flood fill on squares and against lines of sight.

#![expect(clippy::unwrap_used, reason = "a failed test may panic")]

#[expect(dead_code, reason = "each test file uses its part")]
mod oracle;

use oracle::{check_coverage, covers, doubled_areas};
use partition::{Idle, Layer, Partition, PartitionError, Piece, Polygon, Units, units};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

type Line = Vec<[f64; 2]>;

const WEST: f64 = 1_800_000.0;
const SOUTH: f64 = 5_600_000.0;

/// Each unit as a piece, keyed by its position.
fn pieces(parted: &Units) -> Partition {
    let piece = |(key, polygon): (u64, &Polygon)| Piece { key, polygons: vec![polygon.clone()] };
    Partition { pieces: (0..).zip(&parted.polygons).map(piece).collect(), borders: vec![] }
}

/// The units that cover a point, each asked on its own.
fn units_at(parted: &Units, at: [f64; 2]) -> Vec<usize> {
    let covering = |&i: &usize| covers(&Layer { polygons: vec![parted.polygons[i].clone()] }, at);
    (0..parted.polygons.len()).filter(covering).collect()
}

mod on_squares {
    //! Everything runs along the sides of squares of 1 m, so a flood fill over squares knows the truth.

    use super::*;

    const SIDE: i32 = 9;
    /// Corner coordinates or squares: column and row from the south-west.
    type Square = (i32, i32);

    /// West, south, east and north of a rectangle that is not flat.
    #[derive(Clone, Copy, Debug)]
    struct Rectangle(i32, i32, i32, i32);

    impl Rectangle {
        fn contains(self, (x, y): Square) -> bool {
            (self.0..self.2).contains(&x) && (self.1..self.3).contains(&y)
        }

        fn path(self) -> Vec<Square> {
            let Self(w, s, e, n) = self;
            vec![(w, s), (e, s), (e, n), (w, n)]
        }
    }

    fn rectangle(most: i32) -> impl Strategy<Value = Rectangle> {
        (0..most, 0..most, 1..=most, 1..=most).prop_map(|(w, s, width, height)| {
            Rectangle(w - 1, s - 1, w - 1 + width, s - 1 + height)
        })
    }

    /// A walk of a few straight stretches, which may turn back on itself.
    fn walk() -> impl Strategy<Value = Vec<Square>> {
        let stretch = (any::<bool>(), -6_i32..=6);
        ((-1..=SIDE, -1..=SIDE), proptest::collection::vec(stretch, 0..6)).prop_map(
            |(start, rest)| {
                let onward = |at: &mut Square, (east, by): (bool, i32)| {
                    if east {
                        at.0 += by;
                    } else {
                        at.1 += by;
                    }
                    Some(*at)
                };
                std::iter::once(start).chain(rest.into_iter().scan(start, onward)).collect()
            },
        )
    }

    /// The sides of squares along a path: lower corner, and whether the side runs east.
    fn sides(path: &[Square]) -> Vec<(Square, bool)> {
        let mut all = Vec::new();
        for w in path.windows(2) {
            let ((x0, y0), (x1, y1)) = (w[0].min(w[1]), w[0].max(w[1]));
            all.extend((x0..x1).map(|x| ((x, y0), true)));
            all.extend((y0..y1).map(|y| ((x0, y), false)));
        }
        all
    }

    /// The squares on both sides of a side.
    fn across(((x, y), east): (Square, bool)) -> [Square; 2] {
        if east { [(x, y), (x, y - 1)] } else { [(x, y), (x - 1, y)] }
    }

    fn closed(mut path: Vec<Square>) -> Vec<Square> {
        path.push(path[0]);
        path
    }

    fn metres(path: &[Square]) -> Line {
        path.iter().map(|&(x, y)| [WEST + f64::from(x), SOUTH + f64::from(y)]).collect()
    }

    fn polygon(shell: Rectangle, hole: Option<Rectangle>) -> Polygon {
        let hole = hole.map(|hole| metres(&hole.path()));
        Polygon { shell: metres(&shell.path()), holes: hole.into_iter().collect() }
    }

    /// The number of the component of each square inside the boundary.
    fn flood(
        inside: &BTreeSet<Square>,
        walls: &BTreeSet<(Square, bool)>,
    ) -> BTreeMap<Square, usize> {
        let mut found = BTreeMap::new();
        let mut count = 0;
        for &start in inside {
            let mut open = if found.contains_key(&start) { vec![] } else { vec![start] };
            count += open.len();
            while let Some(at @ (x, y)) = open.pop() {
                if found.insert(at, count).is_none() {
                    for wall in
                        [((x, y), true), ((x, y), false), ((x, y + 1), true), ((x + 1, y), false)]
                    {
                        let far = across(wall).into_iter().find(|&s| s != at).unwrap();
                        if inside.contains(&far) && !walls.contains(&wall) {
                            open.push(far);
                        }
                    }
                }
            }
        }
        found
    }

    fn slow_idle(path: &[Square], component: &BTreeMap<Square, usize>) -> Idle {
        let mut idle = Idle::default();
        for side in sides(path) {
            match across(side).map(|square| component.get(&square)) {
                [None, None] => idle.outside_m += 1.0,
                [a, b] if a == b => idle.inside_m += 1.0,
                _ => {}
            }
        }
        idle
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(600))]

        #[test]
        fn units_are_what_a_flood_fill_finds(
            boundary in proptest::collection::vec((rectangle(SIDE), any::<bool>()), 1..4),
            walks in proptest::collection::vec(walk(), 0..6),
            fields in proptest::collection::vec(rectangle(5), 0..4),
        ) {
            let hole = |&(Rectangle(w, s, e, n), holed): &(Rectangle, bool)| {
                (holed && e - w > 2 && n - s > 2).then_some(Rectangle(w + 1, s + 1, e - 1, n - 1))
            };
            let given: Vec<_> = boundary.iter().map(|b| polygon(b.0, hole(b))).collect();
            let lines: Vec<_> = walks.iter().map(|w| metres(w)).collect();
            let polygons: Vec<_> = fields.iter().map(|&f| polygon(f, None)).collect();
            let parted = units(&given, &lines, &polygons, 0.0).unwrap();
            check_coverage(&pieces(&parted).pieces);

            let rings: Vec<_> = fields.iter().map(|f| closed(f.path())).collect();
            let walls = walks.iter().chain(&rings).flat_map(|path| sides(path)).collect();
            let squares = (-2..2 * SIDE).flat_map(|x| (-2..2 * SIDE).map(move |y| (x, y)));
            let inside = squares.filter(|&square| {
                boundary.iter().any(|b| {
                    b.0.contains(square) && !hole(b).is_some_and(|hole| hole.contains(square))
                })
            });
            let component = flood(&inside.collect(), &walls);

            // each square lies in exactly one unit; one for each component, and no larger
            let mut unit_of = BTreeMap::new();
            let mut doubled: BTreeMap<u64, i128> = BTreeMap::new();
            for (&(x, y), &number) in &component {
                let centre = [WEST + f64::from(x) + 0.5, SOUTH + f64::from(y) + 0.5];
                let found = units_at(&parted, centre);
                prop_assert_eq!(found.len(), 1, "units over {:?}", (x, y));
                prop_assert_eq!(*unit_of.entry(number).or_insert(found[0]), found[0]);
                *doubled.entry(found[0] as u64).or_default() += 2_000_000;
                let field = fields.iter().position(|f| f.contains((x, y))).map(|f| f as u32);
                prop_assert_eq!(parted.within[found[0]], field);
            }
            prop_assert_eq!(unit_of.len(), parted.polygons.len());
            prop_assert_eq!(doubled_areas(&pieces(&parted)), doubled);

            let slow = |paths: &[Vec<Square>]| {
                paths.iter().map(|path| slow_idle(path, &component)).collect::<Vec<_>>()
            };
            prop_assert_eq!(&parted.idle_lines, &slow(&walks));
            prop_assert_eq!(&parted.idle_polygons, &slow(&rings));
        }
    }
}

/// A rectangle on whole millimetres: west, south, width and height.
fn rectangle() -> impl Strategy<Value = Polygon> {
    (0_u32..9000, 0_u32..9000, 1000_u32..40_000, 1000_u32..40_000).prop_map(|(x, y, w, h)| {
        let at = |x: u32, y: u32| [WEST + f64::from(x) / 1e3, SOUTH + f64::from(y) / 1e3];
        let shell = vec![at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)];
        Polygon { shell, holes: vec![] }
    })
}

fn point() -> impl Strategy<Value = [f64; 2]> {
    (-5.0_f64..50.0, -5.0_f64..50.0).prop_map(|(x, y)| [WEST + x, SOUTH + y])
}

fn lines(most: usize) -> impl Strategy<Value = Vec<Line>> {
    proptest::collection::vec(proptest::collection::vec(point(), 0..6), 0..most)
}

fn edges(line: &Line) -> impl Iterator<Item = [[f64; 2]; 2]> {
    line.windows(2).map(|w| [w[0], w[1]])
}

fn all_edges<'a>(
    boundary: &'a Polygon,
    lines: &'a [Line],
) -> impl Iterator<Item = [[f64; 2]; 2]> + 'a {
    let shell = &boundary.shell;
    let ring = (0..shell.len()).map(move |i| [shell[i], shell[(i + 1) % shell.len()]]);
    ring.chain(lines.iter().flat_map(edges))
}

fn distance([x, y]: [f64; 2], [[x0, y0], [x1, y1]]: [[f64; 2]; 2]) -> f64 {
    let (dx, dy) = (x1 - x0, y1 - y0);
    let t = (((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy).max(1e-12)).clamp(0.0, 1.0);
    (x - x0 - t * dx).hypot(y - y0 - t * dy)
}

fn cross(e: [[f64; 2]; 2], f: [[f64; 2]; 2]) -> bool {
    let turn = |[a, b]: [[f64; 2]; 2], c: [f64; 2]| {
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    (turn(e, f[0]) < 0.0) != (turn(e, f[1]) < 0.0) && (turn(f, e[0]) < 0.0) != (turn(f, e[1]) < 0.0)
}

/// The shortest distance between two edges.
fn gap(e: [[f64; 2]; 2], f: [[f64; 2]; 2]) -> f64 {
    if cross(e, f) {
        return 0.0;
    }
    let ends = e.map(|p| distance(p, f)).into_iter().chain(f.map(|p| distance(p, e)));
    ends.fold(f64::INFINITY, f64::min)
}

/// Farther off than a step of the grid can reach.
const CLEAR_M: f64 = 2e-3;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn areas_of_units_add_up_to_the_rectangle(
        boundary in rectangle(),
        lines in lines(7),
        fields in proptest::collection::vec(rectangle(), 0..3),
    ) {
        let parted = units(std::slice::from_ref(&boundary), &lines, &fields, 0.0).unwrap();
        check_coverage(&pieces(&parted).pieces);
        let whole = units(std::slice::from_ref(&boundary), &[], &[], 0.0).unwrap();
        prop_assert_eq!(whole.polygons.len(), 1);
        let sum = |parted: &Units| doubled_areas(&pieces(parted)).values().sum::<i128>();
        prop_assert_eq!(sum(&parted), sum(&whole));
    }

    #[test]
    fn places_in_sight_of_each_other_share_a_unit_and_no_place_has_two(
        boundary in rectangle(),
        lines in lines(6),
        places in proptest::collection::vec(point(), 12),
    ) {
        let parted = units(std::slice::from_ref(&boundary), &lines, &[], 0.0).unwrap();
        let layer = Layer { polygons: vec![boundary.clone()] };
        let sure: Vec<_> = places
            .into_iter()
            .filter(|&p| all_edges(&boundary, &lines).all(|e| distance(p, e) > CLEAR_M))
            .map(|p| (p, units_at(&parted, p)))
            .collect();
        for (p, found) in &sure {
            prop_assert_eq!(found.len(), usize::from(covers(&layer, *p)), "units over {:?}", p);
            for (q, other) in &sure {
                if all_edges(&boundary, &lines).all(|e| gap([*p, *q], e) > CLEAR_M) {
                    prop_assert_eq!(found, other);
                }
            }
        }
    }

    #[test]
    fn order_and_direction_of_lines_make_no_difference(
        (boundary, (lines, shuffled)) in (
            rectangle(),
            lines(7).prop_flat_map(|lines| {
                let numbered: Vec<_> = lines.iter().cloned().enumerate().collect();
                (Just(lines), Just(numbered).prop_shuffle())
            }),
        ),
    ) {
        let straight = units(std::slice::from_ref(&boundary), &lines, &[], 0.0).unwrap();
        let turned: Vec<Line> =
            shuffled.iter().map(|(_, line)| line.iter().rev().copied().collect()).collect();
        let other = units(&[boundary], &turned, &[], 0.0).unwrap();
        prop_assert_eq!(&straight.polygons, &other.polygons);
        for ((i, _), idle) in shuffled.iter().zip(&other.idle_lines) {
            let before = straight.idle_lines[*i];
            prop_assert!((before.inside_m - idle.inside_m).abs() < 1e-6);
            prop_assert!((before.outside_m - idle.outside_m).abs() < 1e-6);
        }
    }

    #[test]
    fn a_line_that_ends_inside_changes_nothing(
        boundary in rectangle(),
        lines in lines(5),
        loose in proptest::collection::vec(point(), 2..4),
    ) {
        let before = units(std::slice::from_ref(&boundary), &lines, &[], 0.0).unwrap();
        let with = [lines.as_slice(), std::slice::from_ref(&loose)].concat();
        let after = units(std::slice::from_ref(&boundary), &with, &[], 0.0).unwrap();
        let gaps: Vec<_> = edges(&loose)
            .flat_map(|e| all_edges(&boundary, &lines).map(move |f| gap(e, f)))
            .filter(|&gap| gap <= CLEAR_M)
            .collect();
        let turns_back = loose.len() > 2;
        let idle = after.idle_lines[lines.len()];
        if gaps.is_empty() {
            prop_assert_eq!(&before.polygons, &after.polygons);
            prop_assert_eq!(&before.idle_lines[..], &after.idle_lines[..lines.len()]);
            let length: f64 = edges(&loose).map(|[p, q]| (p[0] - q[0]).hypot(p[1] - q[1])).sum();
            prop_assert!((idle.inside_m + idle.outside_m - length).abs() < 5e-3);
        } else if gaps == [0.0] && !turns_back {
            // one crossing: what is crossed moves by less than a step
            prop_assert_eq!(before.polygons.len(), after.polygons.len());
            let area = |parted: &Units| {
                let mut all: Vec<_> = parted.polygons.iter().map(Polygon::area_m2).collect();
                all.sort_by(f64::total_cmp);
                all
            };
            for (a, b) in area(&before).into_iter().zip(area(&after)) {
                prop_assert!((a - b).abs() < 0.2, "{} {}", a, b);
            }
        }
    }
}

fn square(size: f64) -> Polygon {
    let shell = vec![[0.0, 0.0], [size, 0.0], [size, size], [0.0, size]];
    Polygon { shell, holes: vec![] }
}

#[test]
fn a_line_along_the_boundary_or_along_another_is_not_idle() {
    let middle = vec![[5.0, 0.0], [5.0, 10.0]];
    let lines = [vec![[0.0, 0.0], [10.0, 0.0]], middle.clone(), middle];
    let parted = units(&[square(10.0)], &lines, &[], 0.0).unwrap();
    assert_eq!(parted.polygons.len(), 2);
    assert_eq!(parted.idle_lines, [Idle::default(); 3]);
}

#[test]
fn a_line_that_links_the_boundary_to_a_ring_within_parts_nothing() {
    let mut ring = square(2.0);
    ring.shell.iter_mut().flatten().for_each(|v| *v += 4.0);
    let links = [vec![[0.0, 5.0], [4.0, 5.0]], vec![[6.0, 5.0], [10.0, 5.0]]];
    let one = units(&[square(10.0)], &links[..1], std::slice::from_ref(&ring), 0.0).unwrap();
    assert_eq!(one.polygons.iter().map(Polygon::area_m2).collect::<Vec<_>>(), [96.0, 4.0]);
    assert_eq!(one.polygons[0].holes.len(), 1);
    assert_eq!(one.within, [None, Some(0)]);
    assert_eq!(one.idle_lines, [Idle { inside_m: 4.0, outside_m: 0.0 }]);
    // with a second link the ground about the ring falls in two
    let both = units(&[square(10.0)], &links, &[ring], 0.0).unwrap();
    assert_eq!(both.polygons.len(), 3);
    assert_eq!(both.idle_lines, [Idle::default(); 2]);
}

#[test]
fn without_a_boundary_all_is_outside() {
    let line = vec![[0.0, 0.0], [3.0, 4.0]];
    let parted = units(&[], &[line, vec![], vec![[1.0, 1.0]]], &[square(2.0)], 0.0).unwrap();
    assert!(parted.polygons.is_empty());
    let outside = |outside_m| Idle { inside_m: 0.0, outside_m };
    assert_eq!(parted.idle_polygons, [outside(8.0)]);
    // crossing the square's corner at (1.5, 2), a point of the grid
    assert_eq!(parted.idle_lines, [outside(5.0), outside(0.0), outside(0.0)]);
    assert_eq!(units(&[], &[], &[], 0.0).unwrap(), Units::default());
}

#[test]
fn points_out_of_reach_are_refused_by_name() {
    let far = vec![[1.0, 1.0], [1e6, 0.0]];
    assert_eq!(
        units(&[square(10.0)], &[vec![], far], &[], 0.0).unwrap_err(),
        PartitionError::OutOfReach { what: "break line", position: 1, point: [1e6, 0.0] }
    );
    let polygon = Polygon { shell: vec![], holes: vec![vec![[0.0, -1e7]]] };
    assert_eq!(
        units(&[square(10.0)], &[], &[polygon], 0.0).unwrap_err(),
        PartitionError::OutOfReach { what: "break polygon", position: 0, point: [0.0, -1e7] }
    );
    let nowhere = Polygon { shell: vec![[f64::NAN, 0.0]], holes: vec![] };
    assert!(matches!(
        units(&[nowhere], &[], &[], 0.0).unwrap_err(),
        PartitionError::OutOfReach { what: "boundary polygon", position: 0, .. }
    ));
}

/// A fence and a field drawn by eye along a boundary that was surveyed.
#[test]
fn a_break_a_hair_beside_the_boundary_leaves_no_sliver() {
    let ring = |inset: f64| {
        let (low, high) = (inset, 100.0 - inset);
        vec![[low, low], [high, low], [high, high], [low, high]]
    };
    // 0.2 m inside on one side and outside on another; a field 0.3 m inside all round
    let fence = vec![[-10.0, 0.2], [50.0, 0.2], [110.0, -0.3]];
    let across = vec![[40.0, -10.0], [40.0, 110.0]];
    let field = Polygon { shell: ring(0.3), holes: vec![] };
    for (lines, fields, count) in [
        (vec![fence.clone()], vec![], 1),
        (vec![fence.clone(), across.clone()], vec![], 2),
        (vec![], vec![field.clone()], 1),
        (vec![fence, across], vec![field], 2),
    ] {
        let drawn = units(&[square(100.0)], &lines, &fields, 0.0).unwrap();
        let parted = units(&[square(100.0)], &lines, &fields, 2.0).unwrap();
        assert!(drawn.polygons.len() > count && drawn.slivers == 0);
        assert_eq!(parted.polygons.len(), count);
        assert_eq!(parted.slivers, drawn.polygons.len() - count);
        let area: f64 = parted.polygons.iter().map(Polygon::area_m2).sum();
        assert!((area - 10_000.0).abs() < 1e-6);
        check_coverage(&pieces(&parted).pieces);
        // what the sliver joined is still the field
        assert!(fields.is_empty() || parted.within.iter().all(|within| *within == Some(0)));
    }
}

proptest! {
    /// Against the definition: what is left is as wide as asked for, or all that there is.
    #[test]
    fn no_unit_is_narrower_than_asked_for_but_one_without_a_neighbour(
        boundary in rectangle(),
        lines in lines(6),
        least in 0.5_f64..8.0,
    ) {
        let drawn = units(std::slice::from_ref(&boundary), &lines, &[], 0.0).unwrap();
        let parted = units(std::slice::from_ref(&boundary), &lines, &[], least).unwrap();
        check_coverage(&pieces(&parted).pieces);
        let area = |units: &Units| units.polygons.iter().map(Polygon::area_m2).sum::<f64>();
        prop_assert!((area(&drawn) - area(&parted)).abs() < 1e-6 * area(&drawn).max(1.0));
        let width = |polygon: &Polygon| {
            let rings = std::iter::once(&polygon.shell).chain(&polygon.holes);
            let border: f64 = rings
                .flat_map(|ring| {
                    let next = ring.iter().cycle().skip(1);
                    ring.iter().zip(next).map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1]))
                })
                .sum();
            2.0 * polygon.area_m2() / border
        };
        let wide = drawn.polygons.iter().filter(|unit| width(unit) >= least + 1e-9).count();
        let at_least = drawn.polygons.iter().filter(|unit| width(unit) >= least - 1e-9).count();
        // Slivers all join something, unless there is nothing else.
        if wide > 0 {
            prop_assert!((wide..=at_least).contains(&parted.polygons.len()));
        } else if at_least == 0 {
            prop_assert_eq!(parted.polygons.len(), drawn.polygons.len());
        }
    }
}
