//! Elevations that cannot be ground: a hole whose value was never declared, a broken cell.

use std::collections::BTreeMap;

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

impl Search<'_> {
    /// Every suspicious value, the most frequent first.
    ///
    /// Cost: two passes over the cells.
    pub(super) fn suspects(&self) -> Vec<Suspect> {
        let mut found: BTreeMap<u32, Suspect> = BTreeMap::new();
        let holes = self.usual_holes();
        for (at, value) in self.cells.iter().enumerate().filter(|(_, value)| !value.is_nan()) {
            let Some(why) = self.fault(at, *value, &holes) else { continue };
            let suspect = found.entry(value.to_bits()).or_insert(Suspect {
                value: *value,
                first: (at / self.cols, at % self.cols),
                cells: 0,
                why,
            });
            suspect.cells += 1;
        }
        let mut suspects: Vec<_> = found.into_values().collect();
        suspects.sort_by_key(|one| (std::cmp::Reverse(one.cells), one.first));
        suspects
    }

    fn fault(&self, at: usize, value: f32, holes: &[f32]) -> Option<&'static str> {
        if self.is_off_land(value) {
            Some("no land on Earth is so low or so high")
        } else if holes.contains(&value) {
            Some("a usual value for holes, and nothing near it in height")
        } else if self.is_spike(at, value) {
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
        let mut gaps = USUAL_HOLES.map(|hole| (hole, false, f32::INFINITY));
        for value in self.cells.iter().filter(|value| !value.is_nan() && !self.is_off_land(**value))
        {
            for (hole, present, gap) in &mut gaps {
                if is_same(*value, *hole) {
                    *present = true;
                } else {
                    *gap = gap.min((value - *hole).abs());
                }
            }
        }
        let alone = |gap: f32| gap.is_finite() && f64::from(gap) * self.metres > GAP_M;
        gaps.into_iter()
            .filter(|(_, present, gap)| *present && alone(*gap))
            .map(|one| one.0)
            .collect()
    }

    fn is_spike(&self, at: usize, value: f32) -> bool {
        let rows = self.cells.len() / self.cols;
        let (row, col) = ((at / self.cols) as i64, (at % self.cols) as i64);
        // Up to four broken cells side by side may share a value; more are a table top.
        let (mut counted, mut alike) = (0, 0);
        let mut side = 0.0;
        for (down, right) in [(0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1)]
        {
            let (r, c) = (row + down, col + right);
            if r < 0 || c < 0 || r >= rows as i64 || c >= self.cols as i64 {
                continue;
            }
            let near = self.cells[r as usize * self.cols + c as usize];
            alike += usize::from(is_same(near, value));
            if near.is_nan() || is_same(near, value) || self.is_off_land(near) {
                continue;
            }
            let apart = (right as f64 * self.sides.0).hypot(down as f64 * self.sides.1);
            let rise = (f64::from(value) - f64::from(near)) * self.metres;
            let steep = SPIKE_SLOPE_DEG.to_radians().tan() * apart;
            if rise.abs() <= steep.max(SPIKE_HEIGHT_M) || rise.signum() * side < 0.0 {
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
