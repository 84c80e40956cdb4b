//! Elevations that cannot be ground: a hole whose value was never declared, a broken cell.

use std::collections::BTreeMap;
use std::ops::Range;

use rayon::prelude::*;

/// Land on Earth lies between about −430 m (the Dead Sea shore) and 8,849 m (from memory).
const LAND_M: [f64; 2] = [-500.0, 9_000.0];

/// Values within the range of land that files use for holes (common practice, no source).
const USUAL_HOLES: [f32; 5] = [0.0, -1.0, -99.0, 255.0, 999.0];

/// A usual hole value is one when no other elevation comes within this of it.
const GAP_M: f64 = 50.0;

/// A cell is broken when it stands above, or lies below, every neighbour at more than this slope…
const STEEPEST_DEG: f64 = 85.0;

/// … and stands above them by more than this, for a fine grid of the surface may hold a tree or a
/// mast…
const LEAST_PEAK_M: f64 = 30.0;

/// … or lies below them by more than this, for nothing hangs down: a fine grid may hold a well or
/// a tank. A usual hole value needs no least depth.
const LEAST_PIT_M: f64 = 5.0;

/// Suspicious values that are kept apart; a raster with more has them everywhere.
const MOST: usize = 1000;

/// Cells of one suspicious value.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Suspect {
    /// The value.
    pub(super) value: f32,
    /// Row and column of the first in the raster, from 0.
    pub(super) first: (usize, usize),
    /// How many cells have it.
    pub(super) cells: usize,
    /// Why it cannot be ground.
    pub(super) why: &'static str,
}

/// A part of a raster that is searched. `metres` is the height of one unit of the values.
pub(super) struct Search<'a> {
    pub(super) cells: &'a [f32],
    pub(super) cols: usize,
    /// Row and column in the raster of the first of the cells.
    pub(super) origin: (usize, usize),
    /// Rows and columns of the part that are judged; those around them are only neighbours.
    pub(super) judged: [Range<usize>; 2],
    /// Sides of a cell in metres.
    pub(super) sides: (f64, f64),
    pub(super) metres: f64,
}

/// What has been seen of a raster, part by part: whether a usual hole value stands alone is known
/// only when all of it was seen.
#[derive(Debug, Default)]
pub(super) struct Sightings {
    holes: [Sighting; USUAL_HOLES.len()],
    others: BTreeMap<u32, Suspect>,
}

/// What has been seen of one usual hole value.
#[derive(Debug, Clone, Copy)]
struct Sighting {
    cells: usize,
    first: (usize, usize),
    /// To the nearest other elevation.
    gap_m: f64,
}

/// A cell that cannot be ground: its column, and why.
type Fault = (usize, &'static str);

/// A neighbour: rows down, columns to the right, and the rise in metres beyond which ground towards
/// it is too steep.
type Neighbour = (i64, i64, f64);

impl Default for Sighting {
    fn default() -> Self {
        Self { cells: 0, first: (usize::MAX, usize::MAX), gap_m: f64::INFINITY }
    }
}

impl Sighting {
    fn add(&mut self, other: &Self) {
        self.cells += other.cells;
        self.first = self.first.min(other.first);
        self.gap_m = self.gap_m.min(other.gap_m);
    }
}

impl Sightings {
    /// Looks at one more part.
    ///
    /// Cost: one pass over its cells, on all cores.
    pub(super) fn look(&mut self, search: &Search<'_>) {
        let around = search.neighbours();
        let [rows, _] = search.judged.clone();
        let seen: Vec<_> = rows.into_par_iter().map(|row| search.row(row, &around)).collect();
        for (row, (holes, faults)) in search.judged[0].clone().zip(seen) {
            for (mine, other) in self.holes.iter_mut().zip(&holes) {
                mine.add(other);
            }
            for (col, why) in faults {
                self.add(search.cells[row * search.cols + col], search.place(row, col), why);
            }
        }
    }

    fn add(&mut self, value: f32, first: (usize, usize), why: &'static str) {
        let full = self.is_full();
        match self.others.get_mut(&value.to_bits()) {
            Some(known) => {
                known.cells += 1;
                known.first = known.first.min(first);
            }
            None if full => {}
            None => {
                self.others.insert(value.to_bits(), Suspect { value, first, cells: 1, why });
            }
        }
    }

    /// Whether there are so many suspicious values that no more are taken in.
    pub(super) fn is_full(&self) -> bool {
        self.others.len() >= MOST
    }

    /// Every suspicious value, the most frequent first.
    pub(super) fn suspects(mut self) -> Vec<Suspect> {
        for (value, Sighting { cells, first, gap_m }) in USUAL_HOLES.into_iter().zip(self.holes) {
            if cells > 0 && gap_m.is_finite() && gap_m > GAP_M {
                let why = "a usual value for holes, and nothing near it in height";
                self.others.retain(|_, other| !is_same(other.value, value));
                self.others.insert(value.to_bits(), Suspect { value, first, cells, why });
            }
        }
        let mut suspects: Vec<_> = self.others.into_values().collect();
        suspects.sort_by_key(|one| (std::cmp::Reverse(one.cells), one.first));
        suspects
    }
}

impl Search<'_> {
    /// What is seen of the usual hole values in a row, and its faults.
    fn row(&self, row: usize, around: &[Neighbour; 8]) -> ([Sighting; 5], Vec<Fault>) {
        let mut holes = [Sighting::default(); USUAL_HOLES.len()];
        let mut faults = Vec::new();
        for col in self.judged[1].clone() {
            let value = self.cells[row * self.cols + col];
            if value.is_nan() {
                continue;
            }
            if self.is_off_land(value) {
                faults.push((col, "no land on Earth is so low or so high"));
                continue;
            }
            for (seen, hole) in holes.iter_mut().zip(USUAL_HOLES) {
                if is_same(value, hole) {
                    seen.cells += 1;
                    seen.first = seen.first.min(self.place(row, col));
                } else {
                    seen.gap_m = seen.gap_m.min(f64::from((value - hole).abs()) * self.metres);
                }
            }
            if self.is_spike((row, col), around) {
                faults.push((col, "it differs from every neighbour by a slope of more than 85°"));
            }
        }
        (holes, faults)
    }

    /// Row and column in the raster.
    fn place(&self, row: usize, col: usize) -> (usize, usize) {
        (self.origin.0 + row, self.origin.1 + col)
    }

    fn is_off_land(&self, value: f32) -> bool {
        let height = f64::from(value) * self.metres;
        !(LAND_M[0]..=LAND_M[1]).contains(&height)
    }

    fn neighbours(&self) -> [Neighbour; 8] {
        let steep = STEEPEST_DEG.to_radians().tan();
        [(0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1)].map(
            |(down, right)| {
                let apart = (right as f64 * self.sides.0).hypot(down as f64 * self.sides.1);
                (down, right, steep * apart)
            },
        )
    }

    fn is_spike(&self, (row, col): (usize, usize), around: &[Neighbour; 8]) -> bool {
        let rows = (self.cells.len() / self.cols) as i64;
        let value = self.cells[row * self.cols + col];
        let (row, col) = (row as i64, col as i64);
        let usual_hole = USUAL_HOLES.iter().any(|hole| is_same(*hole, value));
        let least_pit = if usual_hole { 0.0 } else { LEAST_PIT_M };
        // Up to four broken cells side by side may share a value; more are a table top.
        let (mut counted, mut alike) = (0, 0);
        let mut side = 0.0;
        for (down, right, steep) in around {
            let (r, c) = (row + down, col + right);
            if r < 0 || c < 0 || r >= rows || c >= self.cols as i64 {
                continue;
            }
            let near = self.cells[r as usize * self.cols + c as usize];
            alike += usize::from(is_same(near, value));
            if near.is_nan() || is_same(near, value) || self.is_off_land(near) {
                continue;
            }
            let rise = (f64::from(value) - f64::from(near)) * self.metres;
            let believed = steep.max(if rise < 0.0 { least_pit } else { LEAST_PEAK_M });
            if rise.abs() <= believed || rise.signum() * side < 0.0 {
                return false;
            }
            side = rise.signum();
            counted += 1;
        }
        counted >= 3 && alike <= 3
    }
}

fn is_same(one: f32, two: f32) -> bool {
    one.partial_cmp(&two).is_some_and(std::cmp::Ordering::is_eq)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn whole(cells: &[f32], cols: usize, side: f64) -> Search<'_> {
        let judged = [0..cells.len() / cols, 0..cols];
        Search { cells, cols, origin: (0, 0), judged, sides: (side, side), metres: 1.0 }
    }

    fn found(search: &Search<'_>) -> Vec<Suspect> {
        let mut sightings = Sightings::default();
        sightings.look(search);
        sightings.suspects()
    }

    /// A slope of 27° from 300 m, 10 m cells, with some cells changed.
    fn suspects(changes: &[(usize, f32)]) -> Vec<Suspect> {
        let mut cells: Vec<f32> =
            (0..400).map(|at| 300.0 + (at % 20) as f32 * 5.0 + (at / 20) as f32).collect();
        for (at, value) in changes {
            cells[*at] = *value;
        }
        found(&whole(&cells, 20, 10.0))
    }

    #[test]
    fn ground_is_not_suspected() {
        assert_eq!(suspects(&[]), []);
        // A cliff: high on one side only. A knoll 40 m high. A hole. Level water at 0 with a shore.
        let cliff: Vec<_> = (0..200).map(|at| (at, 900.0)).collect();
        assert_eq!(suspects(&cliff), []);
        assert_eq!(suspects(&[(210, 400.0)]), []);
        assert_eq!(suspects(&[(210, f32::NAN)]), []);
        let coast: Vec<_> =
            (0..400).map(|at| (at, if at < 40 { 0.0 } else { at as f32 / 10.0 })).collect();
        assert_eq!(suspects(&coast), []);
    }

    #[test]
    fn undeclared_holes_are_found_alone_and_in_patches() {
        for value in [-9999.0, -32768.0, 65535.0, 0.0, -99.0] {
            let found = suspects(&[(210, value)]);
            assert_eq!((found.len(), found[0].value, found[0].first), (1, value, (10, 10)));
            let patch: Vec<_> = (100..160).map(|at| (at, value)).collect();
            assert_eq!(suspects(&patch)[0].cells, 60);
        }
    }

    #[test]
    fn a_broken_cell_is_found_and_its_neighbours_are_not() {
        let found = suspects(&[(210, 700.0)]);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].value, 700.0);
        assert_eq!(suspects(&[(0, 20.0)])[0].first, (0, 0));
    }

    #[test]
    fn a_pit_needs_less_depth_than_a_mast_height() {
        // Low ground of 1 m cells, 20 to 29 m high.
        let ground = |value: f32| -> Vec<Suspect> {
            let mut cells: Vec<f32> = (0..100).map(|at| 20.0 + (at % 10) as f32).collect();
            cells[44] = value;
            found(&whole(&cells, 10, 1.0))
        };
        for pit in [0.0, -1.0, 3.0] {
            let pits = ground(pit);
            assert_eq!((pits.len(), pits[0].value, pits[0].first), (1, pit, (4, 4)));
        }
        // A tree of 25 m; a well of 10 m.
        assert_eq!(ground(49.0), []);
        assert_eq!(ground(14.0), []);
        // Cells of 20 cm, 3 to 3.9 m high: a tank of 3 m, unless its floor is a usual hole value.
        let fine = |value: f32| -> Vec<Suspect> {
            let mut cells: Vec<f32> = (0..100).map(|at| 3.5 + (at % 10) as f32 * 0.1).collect();
            cells[44] = value;
            found(&whole(&cells, 10, 0.2))
        };
        assert_eq!(fine(0.5), []);
        assert_eq!(fine(0.0).len(), 1);
    }

    #[test]
    fn heights_in_feet_are_judged_in_metres() {
        let cells = vec![20_000.0_f32; 9];
        let metres = whole(&cells, 3, 10.0);
        assert_eq!(found(&metres)[0].cells, 9);
        assert_eq!(found(&Search { metres: 0.3048, ..metres }), []);
    }

    #[test]
    fn many_suspicious_values_are_not_all_kept() {
        let cells: Vec<f32> = (0..4000).map(|at| 1e5 + at as f32).collect();
        assert_eq!(found(&whole(&cells, 40, 10.0)).len(), MOST);
    }

    /// Height of a cell: ground low or high, sea, a usual hole value, a broken cell, a hole.
    fn height() -> impl Strategy<Value = f32> {
        prop_oneof![
            12 => (20..30_i16).prop_map(f32::from),
            4 => (200..900_i16).prop_map(f32::from),
            1 => Just(0.0),
            1 => prop::sample::select(vec![-1.0, -99.0, 255.0, 999.0, -9999.0]),
            1 => Just(f32::NAN),
        ]
    }

    proptest! {
        #[test]
        fn parts_with_their_neighbours_say_what_the_whole_says(
            cells in prop::collection::vec(height(), 12 * 9),
            side in 1..13_usize,
        ) {
            let (cols, rows) = (12, 9);
            let mut parts = Sightings::default();
            for row in (0..rows).step_by(side) {
                for col in (0..cols).step_by(side) {
                    let ends = [(row + side).min(rows), (col + side).min(cols)];
                    let tall = row.saturating_sub(1)..(ends[0] + 1).min(rows);
                    let wide = col.saturating_sub(1)..(ends[1] + 1).min(cols);
                    let part: Vec<f32> = tall
                        .clone()
                        .flat_map(|row| cells[row * cols..][wide.clone()].iter().copied())
                        .collect();
                    parts.look(&Search {
                        judged: [
                            row - tall.start..ends[0] - tall.start,
                            col - wide.start..ends[1] - wide.start,
                        ],
                        origin: (tall.start, wide.start),
                        ..whole(&part, wide.len(), 10.0)
                    });
                }
            }
            prop_assert_eq!(parts.suspects(), found(&whole(&cells, cols, 10.0)));
        }
    }
}
