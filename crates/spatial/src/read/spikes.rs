//! Elevations that cannot be ground: a hole whose value was never declared, a broken cell.

use std::collections::BTreeMap;

use rayon::prelude::*;

/// Land on Earth lies between about −430 m (the Dead Sea shore) and 8,849 m (from memory).
const LAND_M: [f64; 2] = [-500.0, 9_000.0];

/// Values within the range of land that files use for holes (common practice, no source).
const USUAL_HOLES: [f32; 5] = [0.0, -1.0, -99.0, 255.0, 999.0];

/// A usual hole value is one when no other elevation comes within this of it.
const GAP_M: f64 = 50.0;

/// A cell is broken when it stands above, or lies below, every neighbour at more than this slope…
const SPIKE_SLOPE_DEG: f64 = 85.0;

/// … and by more than this: a fine grid of the surface may hold a tree or a mast.
const SPIKE_HEIGHT_M: f64 = 30.0;

/// Cells of one suspicious value.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Suspect {
    /// The value.
    pub(super) value: f32,
    /// Row and column of the first, from 0.
    pub(super) first: (usize, usize),
    /// How many cells have it.
    pub(super) cells: usize,
    /// Why it cannot be ground.
    pub(super) why: &'static str,
}

/// The grid that is searched. `metres` is the height of one unit of the values.
pub(super) struct Search<'a> {
    pub(super) cells: &'a [f32],
    pub(super) cols: usize,
    /// Sides of a cell in metres.
    pub(super) sides: (f64, f64),
    pub(super) metres: f64,
}

/// A neighbour: rows down, columns to the right, and the rise in metres beyond which ground towards
/// it is not believed.
type Neighbour = (i64, i64, f64);

impl Search<'_> {
    /// Every suspicious value, the most frequent first.
    ///
    /// Cost: two passes over the cells, on all cores.
    pub(super) fn suspects(&self) -> Vec<Suspect> {
        let holes = self.usual_holes();
        let around = self.neighbours();
        let rows: Vec<Vec<(usize, &'static str)>> = (0..self.cells.len() / self.cols)
            .into_par_iter()
            .map(|row| {
                let cells = row * self.cols..(row + 1) * self.cols;
                cells.filter_map(|at| Some((at, self.fault(at, &holes, &around)?))).collect()
            })
            .collect();
        let mut found: BTreeMap<u32, Suspect> = BTreeMap::new();
        for (at, why) in rows.into_iter().flatten() {
            let value = self.cells[at];
            let first = (at / self.cols, at % self.cols);
            let new = Suspect { value, first, cells: 0, why };
            found.entry(value.to_bits()).or_insert(new).cells += 1;
        }
        let mut suspects: Vec<_> = found.into_values().collect();
        suspects.sort_by_key(|one| (std::cmp::Reverse(one.cells), one.first));
        suspects
    }

    fn fault(&self, at: usize, holes: &[f32], around: &[Neighbour; 8]) -> Option<&'static str> {
        let value = self.cells[at];
        if value.is_nan() {
            None
        } else if self.is_off_land(value) {
            Some("no land on Earth is so low or so high")
        } else if holes.contains(&value) {
            Some("a usual value for holes, and nothing near it in height")
        } else if self.is_spike(at, around) {
            Some("it differs from every neighbour by a slope of more than 85°")
        } else {
            None
        }
    }

    fn is_off_land(&self, value: f32) -> bool {
        let height = f64::from(value) * self.metres;
        !(LAND_M[0]..=LAND_M[1]).contains(&height)
    }

    /// The usual hole values that occur here and stand alone.
    fn usual_holes(&self) -> Vec<f32> {
        let ground =
            self.cells.par_iter().filter(|cell| !cell.is_nan() && !self.is_off_land(**cell));
        // For each: whether it occurs, and the distance of the nearest other value.
        let none = || [(false, f32::INFINITY); USUAL_HOLES.len()];
        let add = |mut seen: [(bool, f32); USUAL_HOLES.len()], value: &f32| {
            for ((present, gap), hole) in seen.iter_mut().zip(USUAL_HOLES) {
                let apart = (value - hole).abs();
                *present |= apart <= 0.0;
                *gap = if apart > 0.0 { gap.min(apart) } else { *gap };
            }
            seen
        };
        let join = |one: [(bool, f32); USUAL_HOLES.len()],
                    two: [(bool, f32); USUAL_HOLES.len()]| {
            let mut both = one;
            for (mine, other) in both.iter_mut().zip(two) {
                *mine = (mine.0 | other.0, mine.1.min(other.1));
            }
            both
        };
        let seen = ground.fold(none, add).reduce(none, join);
        let alone = |gap: f32| gap.is_finite() && f64::from(gap) * self.metres > GAP_M;
        let alone =
            USUAL_HOLES.iter().zip(seen).filter(|(_, (present, gap))| *present && alone(*gap));
        alone.map(|(hole, _)| *hole).collect()
    }

    fn neighbours(&self) -> [Neighbour; 8] {
        let steep = SPIKE_SLOPE_DEG.to_radians().tan();
        [(0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1)].map(
            |(down, right)| {
                let apart = (right as f64 * self.sides.0).hypot(down as f64 * self.sides.1);
                (down, right, (steep * apart).max(SPIKE_HEIGHT_M))
            },
        )
    }

    fn is_spike(&self, at: usize, around: &[Neighbour; 8]) -> bool {
        let rows = (self.cells.len() / self.cols) as i64;
        let (row, col) = ((at / self.cols) as i64, (at % self.cols) as i64);
        let value = self.cells[at];
        // Up to four broken cells side by side may share a value; more are a table top.
        let (mut counted, mut alike) = (0, 0);
        let mut side = 0.0;
        for (down, right, believed) in around {
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
            if rise.abs() <= *believed || rise.signum() * side < 0.0 {
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

    /// A slope of 27° from 300 m, 10 m cells, with some cells changed.
    fn suspects(changes: &[(usize, f32)]) -> Vec<Suspect> {
        let mut cells: Vec<f32> =
            (0..400).map(|at| 300.0 + (at % 20) as f32 * 5.0 + (at / 20) as f32).collect();
        for (at, value) in changes {
            cells[*at] = *value;
        }
        Search { cells: &cells, cols: 20, sides: (10.0, 10.0), metres: 1.0 }.suspects()
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
    fn heights_in_feet_are_judged_in_metres() {
        let cells = vec![20_000.0_f32; 9];
        let feet = Search { cells: &cells, cols: 3, sides: (10.0, 10.0), metres: 0.3048 };
        assert_eq!(feet.suspects(), []);
        let metres = Search { metres: 1.0, ..feet };
        assert_eq!(metres.suspects()[0].cells, 9);
    }
}
