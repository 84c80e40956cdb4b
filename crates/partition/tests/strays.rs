//! Ground handed over: to a neighbour, step by step as slow code does it, and inside each unit.

mod oracle;

use oracle::{check_coverage, covers, doubled_areas, key_at, near_edge};
use partition::{Lattice, Layer, Partition, Place, Polygon, SliverRule, partition, units};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

const WEST: f64 = 1_800_000.0;
const NORTH: f64 = 5_600_000.0;

fn lattice(cols: u32, rows: u32) -> Lattice {
    Lattice { cols, rows, west: WEST, north: NORTH, cell_width: 2.0, cell_height: 2.0 }
}

fn centre(lattice: &Lattice, i: u32) -> [f64; 2] {
    let (col, row) = (f64::from(i % lattice.cols), f64::from(i / lattice.cols));
    [WEST + 2.0 * col + 1.0, NORTH - 2.0 * row - 1.0]
}

/// A hand-over on the cells of a lattice that looks at everything again after each step.
struct Slow<'a> {
    lattice: Lattice,
    region: Vec<usize>,
    key: Vec<u32>,
    may_join: &'a dyn Fn(u64, u64) -> bool,
    must_leave: &'a dyn Fn(u64) -> bool,
    smaller_than: usize,
}

impl Slow<'_> {
    fn neighbours(&self, i: usize) -> Vec<usize> {
        let (cols, rows) = (self.lattice.cols as usize, self.lattice.rows as usize);
        let (col, row) = (i % cols, i / cols);
        let mut all = Vec::new();
        all.extend((col > 0).then(|| i - 1));
        all.extend((col + 1 < cols).then(|| i + 1));
        all.extend((row > 0).then(|| i - cols));
        all.extend((row + 1 < rows).then(|| i + cols));
        all
    }

    /// Joins touching regions of the taker's key with it, until there is none.
    fn join(&mut self, taker: usize) {
        loop {
            let touching = (0..self.region.len())
                .filter(|&i| self.region[i] == taker)
                .flat_map(|i| self.neighbours(i))
                .map(|n| self.region[n])
                .find(|&r| r != taker && self.key[r] == self.key[taker]);
            let Some(other) = touching else { return };
            self.region.iter_mut().filter(|r| **r == other).for_each(|r| *r = taker);
        }
    }

    /// Regions numbered by their south-western cells, the columns first.
    fn number(&mut self, labels: &[u32]) {
        let cols = self.lattice.cols as usize;
        let mut order: Vec<usize> = (0..labels.len()).collect();
        order.sort_by_key(|i| (i % cols, std::cmp::Reverse(i / cols)));
        self.region = vec![usize::MAX; labels.len()];
        for start in order {
            if self.region[start] == usize::MAX {
                let mut open = vec![start];
                while let Some(i) = open.pop() {
                    self.region[i] = self.key.len();
                    let same =
                        |&n: &usize| labels[n] == labels[start] && self.region[n] == usize::MAX;
                    open.extend(self.neighbours(i).into_iter().filter(same));
                }
                self.key.push(labels[start]);
            }
        }
    }

    fn size(&self, region: usize) -> usize {
        self.region.iter().filter(|&&r| r == region).count()
    }

    fn taker(&self, giver: usize) -> Option<usize> {
        let own = u64::from(self.key[giver]);
        let mut shared: BTreeMap<usize, usize> = BTreeMap::new();
        for i in (0..self.region.len()).filter(|&i| self.region[i] == giver) {
            for n in self.neighbours(i).into_iter().filter(|&n| self.region[n] != giver) {
                *shared.entry(self.region[n]).or_default() += 1;
            }
        }
        let may_take = |r: usize| {
            let key = u64::from(self.key[r]);
            (self.may_join)(own, key) && !(self.must_leave)(key)
        };
        let rank = |(r, length): (usize, usize)| {
            let (size, key) = (self.size(r), std::cmp::Reverse(self.key[r]));
            ((length, size, key, std::cmp::Reverse(r)), r)
        };
        shared.into_iter().filter(|(r, _)| may_take(*r)).map(rank).max().map(|(_, r)| r)
    }

    fn run(mut self, labels: &[u32]) -> Vec<u32> {
        self.number(labels);
        loop {
            let standing: BTreeSet<_> = self.region.iter().copied().collect();
            let gives = |&&r: &&usize| {
                self.size(r) < self.smaller_than || (self.must_leave)(u64::from(self.key[r]))
            };
            let step = standing
                .iter()
                .filter(gives)
                .filter_map(|&r| Some((self.size(r), r, self.taker(r)?)))
                .min();
            let Some((_, giver, taker)) = step else { break };
            self.region.iter_mut().filter(|r| **r == giver).for_each(|r| *r = taker);
            self.join(taker);
        }
        self.region.iter().map(|&r| self.key[r]).collect()
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_hand_over_does_as_slow_code_does(
        (cols, rows, labels) in (1_u32..8, 1_u32..8).prop_flat_map(|(cols, rows)| {
            let cells = proptest::collection::vec(0_u32..5, (cols * rows) as usize);
            (Just(cols), Just(rows), cells)
        }),
        joins in proptest::collection::vec(proptest::bool::weighted(0.7), 25),
        leaves in proptest::collection::vec(proptest::bool::weighted(0.4), 5),
        smaller_than in 0_usize..4,
    ) {
        let lattice = lattice(cols, rows);
        let may_join = |from: u64, to: u64| joins[(from * 5 + to) as usize];
        let must_leave = |key: u64| leaves[key as usize];
        let rule = SliverRule {
            smaller_than_m2: smaller_than as f64 * 4.0,
            may_join: &may_join,
            must_leave: &must_leave,
            left_as: &|key| key,
        };
        let key = |place: Place| place.label.map(u64::from);
        let parted = partition(&labels, &lattice, 0.0, &[], &[], key, Some(&rule)).unwrap();
        check_coverage(&parted.pieces);
        let slow = Slow {
            lattice,
            region: vec![],
            key: vec![],
            may_join: &may_join,
            must_leave: &must_leave,
            smaller_than,
        };
        for (i, expected) in (0..).zip(slow.run(&labels)) {
            let found = key_at(&parted, centre(&lattice, i));
            prop_assert_eq!(found, Some(u64::from(expected)), "cell {}", i);
        }
    }
}

const COLS: u32 = 14;

/// A line from rim to rim, or from anywhere to anywhere.
fn line() -> impl Strategy<Value = Vec<[f64; 2]>> {
    let point = (-3.0_f64..31.0, -3.0_f64..31.0).prop_map(|(x, y)| [WEST + x, NORTH - y]);
    proptest::collection::vec(point, 2..5)
}

/// A property that its lines part, about the middle of the lattice.
fn property() -> impl Strategy<Value = Polygon> {
    proptest::collection::vec(6.0_f64..13.0, 4..9).prop_map(|radii| {
        let corner = |(i, r): (usize, &f64)| {
            let bearing = i as f64 / radii.len() as f64 * std::f64::consts::TAU;
            [WEST + 14.0 + r * bearing.cos(), NORTH - 14.0 + r * bearing.sin()]
        };
        Polygon { shell: radii.iter().enumerate().map(corner).collect(), holes: vec![] }
    })
}

/// Ground by unit, in twice mm².
fn by_unit(parted: &Partition) -> BTreeMap<u64, i128> {
    let mut sums = BTreeMap::new();
    for (key, area) in doubled_areas(parted) {
        *sums.entry(key >> 32).or_default() += area;
    }
    sums
}

fn perimeter(polygon: &Polygon) -> f64 {
    let side = |ring: &Vec<[f64; 2]>, i: usize| {
        let (p, q) = (ring[i], ring[(i + 1) % ring.len()]);
        (p[0] - q[0]).hypot(p[1] - q[1])
    };
    let ring = |ring: &Vec<[f64; 2]>| (0..ring.len()).map(|i| side(ring, i)).sum::<f64>();
    std::iter::once(&polygon.shell).chain(&polygon.holes).map(ring).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn after_the_hand_over_each_unit_is_its_own_polygon(
        boundary in property(),
        lines in proptest::collection::vec(line(), 0..5),
        noise in proptest::collection::vec((0_u32..3, 0_u32..40), (COLS * COLS) as usize),
        tolerance in prop_oneof![Just(0.0), 0.5_f64..4.0],
        smallest in prop_oneof![Just(0.0), 0.5_f64..20.0],
    ) {
        let lattice = lattice(COLS, COLS);
        let cut = units(&[boundary], &lines, &[], 0.0).unwrap();
        let unit_at = |at: [f64; 2]| {
            let over = |p: &Polygon| covers(&Layer { polygons: vec![p.clone()] }, at);
            cut.polygons.iter().position(over)
        };
        // three labels a unit, by the unit of the cell's centre; some cells are of any unit
        let nowhere = 3 * cut.polygons.len() as u32;
        let label = |(i, &(kind, lost)): (u32, &(u32, u32))| match unit_at(centre(&lattice, i)) {
            _ if lost < nowhere => lost,
            Some(unit) => 3 * unit as u32 + kind,
            None => nowhere,
        };
        let labels: Vec<u32> = (0..).zip(&noise).map(label).collect();

        let key = |place: Place| {
            let unit = u64::from(place.unit?);
            Some(unit << 32 | u64::from(place.label.unwrap_or(nowhere)))
        };
        let is_stray = |key: u64| (key & 0xffff_ffff) / 3 != key >> 32;
        let rule = SliverRule {
            smaller_than_m2: smallest,
            may_join: &|from, to| from >> 32 == to >> 32,
            must_leave: &is_stray,
            left_as: &|key| key,
        };
        let run = |rule| partition(&labels, &lattice, tolerance, &[], &cut.polygons, key, rule).unwrap();
        let (before, after) = (run(None), run(Some(&rule)));
        check_coverage(&after.pieces);

        // nothing is lost, and no ground has changed its unit
        prop_assert_eq!(by_unit(&before), by_unit(&after));
        let grounds = by_unit(&after);
        prop_assert_eq!(grounds.len(), cut.polygons.len());
        for (polygon, (unit, doubled)) in cut.polygons.iter().zip(grounds) {
            // the borders of cells that meet it move its edges by at most half a step
            let (found, expected) = (doubled as f64 / 2e6, polygon.area_m2());
            prop_assert!((found - expected).abs() <= 1e-3 * perimeter(polygon), "unit {}", unit);
        }
        for i in 0..COLS * COLS {
            let at = centre(&lattice, i);
            let edge = cut.polygons.iter().any(|p| near_edge(p, at));
            if !edge {
                let found = key_at(&after, at).map(|key| (key >> 32) as usize);
                prop_assert_eq!(found, unit_at(at));
            }
        }

        // a unit is connected, so one piece at home takes in every stray of it in the end
        let homes = |parted: &Partition, stray: bool| {
            let of = parted.pieces.iter().filter(|p| is_stray(p.key) == stray).map(|p| p.key >> 32);
            of.collect::<BTreeSet<_>>()
        };
        let home = homes(&before, false);
        // but for slivers that the half step by which edges move cuts off from the rest
        for piece in after.pieces.iter().filter(|p| is_stray(p.key) && home.contains(&(p.key >> 32))) {
            for polygon in &piece.polygons {
                let (area, border) = (polygon.area_m2(), perimeter(polygon));
                prop_assert!(area <= 1e-3 * border, "{} m² of unit {} astray", area, piece.key >> 32);
            }
        }
        for piece in before.pieces.iter().filter(|p| !home.contains(&(p.key >> 32))) {
            prop_assert!(after.pieces.contains(piece), "a stray without a taker changed");
        }
    }
}

#[test]
fn the_first_unit_wins_where_units_overlap_and_there_may_be_many() {
    let strip = |i: u32| {
        let (west, east) = (WEST + f64::from(i), WEST + f64::from(i) + 1.5);
        let shell = vec![[west, NORTH - 1.0], [east, NORTH - 1.0], [east, NORTH], [west, NORTH]];
        Polygon { shell, holes: vec![] }
    };
    let strips: Vec<_> = (0..200).map(strip).collect();
    let key = |place: Place| place.unit.map(u64::from);
    let parted = partition(&[], &lattice(0, 0), 0.0, &[], &strips, key, None).unwrap();
    check_coverage(&parted.pieces);
    // all but the first lose their western half metre to the one before
    let expected = |i: u64| (i, if i == 0 { 3_000_000 } else { 2_000_000 });
    assert_eq!(doubled_areas(&parted), (0..200).map(expected).collect());
}

#[test]
fn a_unit_out_of_reach_is_refused_by_name() {
    let far = Polygon { shell: vec![[WEST, NORTH], [0.0, NORTH]], holes: vec![] };
    let all = [Polygon::default(), far];
    let error = partition(&[], &lattice(0, 0), 0.0, &[], &all, |_| None, None).unwrap_err();
    let expected =
        partition::PartitionError::OutOfReach { what: "unit", position: 1, point: [0.0, NORTH] };
    assert_eq!(error, expected);
}

#[test]
fn a_stray_among_strays_waits_for_its_turn() {
    // one row: 0 at home, then strays of 1, 2 and 3, each larger than the one before it
    let labels = [0, 3, 3, 3, 2, 2, 1];
    let rule = SliverRule {
        smaller_than_m2: 0.0,
        may_join: &|_, to| to == 0,
        must_leave: &|key| key > 0,
        left_as: &|key| key,
    };
    let key = |place: Place| place.label.map(u64::from);
    let parted = partition(&labels, &lattice(7, 1), 0.0, &[], &[], key, Some(&rule)).unwrap();
    assert_eq!(doubled_areas(&parted), BTreeMap::from([(0, 56_000_000)]));
}

#[test]
fn a_stray_without_a_home_gets_its_last_resort_and_joins_what_has_that_key() {
    let labels = [0, 0, 11, 12, 2];
    let rule = SliverRule {
        smaller_than_m2: 0.0,
        may_join: &|_, _| false,
        must_leave: &|key| key > 10,
        left_as: &|key| key - 10,
    };
    let key = |place: Place| place.label.map(u64::from);
    let parted = partition(&labels, &lattice(5, 1), 0.0, &[], &[], key, Some(&rule)).unwrap();
    let cells = |cells: i128| cells * 2 * 2000 * 2000;
    let expected = BTreeMap::from([(0, cells(2)), (1, cells(1)), (2, cells(2))]);
    assert_eq!(doubled_areas(&parted), expected);
    assert!(parted.pieces.iter().all(|piece| piece.polygons.len() == 1), "one polygon each");
    check_coverage(&parted.pieces);
}
