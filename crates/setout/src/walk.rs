//! Plants along rows: as many on each stretch as its ground asks for.

use crate::apart::Apart;
use crate::rows::Line;
use crate::{Face, Setting};

/// A plant that may not stand where its turn comes looks so far along the row, in spacings.
const LOOK: f64 = 0.75;
/// In steps of so many spacings.
const STEP: f64 = 0.15;

/// Walks all rows from the top of the block to its foot and puts plants; the number of rows that
/// have any.
///
/// A stretch of row asks for the plants of the strip of ground that it stands for, a spacing wide;
/// each time another whole one has come together a plant is put. What all rows ask for is scaled to
/// the plants that are to stand. Ends meet: what one row leaves over the next begins with.
pub(crate) fn walk(face: &Face, lines: &[Line], setting: &Setting, apart: &mut Apart) -> u32 {
    let asks: Vec<Vec<f32>> = lines.iter().map(|line| asks(face, line)).collect();
    let asked: f64 = asks.iter().flatten().map(|asks| f64::from(*asks)).sum();
    if asked <= 0.0 || setting.plants == 0 {
        return 0;
    }
    let a_plant = asked / setting.plants as f64;
    let (mut come, mut number, mut rows) = (a_plant / 2.0, 1, 0);
    for (line, asks) in lines.iter().zip(&asks) {
        let before = apart.len();
        let mut walk = OneRow { face, line, asks, setting, number };
        come = walk.put(come, a_plant, apart);
        if apart.len() > before {
            (number, rows) = (number + 1, rows + 1);
        }
    }
    rows
}

/// What each stretch of a row asks for, from one point to the next.
fn asks(face: &Face, line: &Line) -> Vec<f32> {
    let stretch = |pair: &[[f32; 2]]| {
        let [[from_x, from_y], [to_x, to_y]] = [pair[0], pair[1]];
        let (east, south) = (to_x - from_x, to_y - from_y);
        let middle = on_map(face, [from_x + east / 2.0, from_y + south / 2.0]);
        // Rows are a spacing apart on the ground; on the map that is by the cosine less.
        (east * east + south * south).sqrt() * face.plants_on_ground_at(middle) as f32
    };
    line.windows(2).map(stretch).collect()
}

/// A point of a row on the map.
fn on_map(face: &Face, [east, south]: [f32; 2]) -> [f64; 2] {
    [face.grid().west() + f64::from(east), face.grid().north() - f64::from(south)]
}

fn between(from: [f64; 2], to: [f64; 2], share: f64) -> [f64; 2] {
    [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share]
}

struct OneRow<'a> {
    face: &'a Face,
    line: &'a Line,
    asks: &'a [f32],
    setting: &'a Setting,
    number: u32,
}

impl OneRow<'_> {
    /// Puts the plants of a row; what had come together for the next plant, and has at its end.
    fn put(&mut self, mut come: f64, a_plant: f64, apart: &mut Apart) -> f64 {
        for (index, asks) in self.asks.iter().enumerate() {
            let asks = f64::from(*asks);
            let mut used = 0.0;
            while come + (asks - used) >= a_plant {
                used += a_plant - come;
                come = 0.0;
                if apart.len() < self.setting.plants {
                    let [from, to] = [index, index + 1].map(|at| on_map(self.face, self.line[at]));
                    self.put_near(index, between(from, to, (used / asks).min(1.0)), apart);
                }
            }
            come += asks - used;
        }
        come
    }

    /// Puts a plant at a point of the row, or a little farther along where it may not stand there.
    fn put_near(&self, index: usize, at: [f64; 2], apart: &mut Apart) {
        let least_m = self.setting.least_m();
        if apart.try_put(at, self.number, least_m) {
            return;
        }
        let [look, step] = [LOOK, STEP].map(|share| share * self.setting.spacing_m);
        let (mut here, mut gone, mut since) = (at, 0.0, 0.0);
        for point in &self.line[index + 1..] {
            let to = on_map(self.face, *point);
            let (east, north) = (to[0] - here[0], to[1] - here[1]);
            let metres = (east * east + north * north).sqrt();
            let mut used = 0.0;
            while since + (metres - used) >= step {
                used += step - since;
                since = 0.0;
                gone += step;
                let tried = between(here, to, (used / metres).min(1.0));
                if gone > look || apart.try_put(tried, self.number, least_m) {
                    return;
                }
            }
            since += metres - used;
            here = to;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Manner, Outline, Position};
    use terrain::{Grid, Raster};

    /// 100 by 100 m of cells of 1 m, from 700 m east and 300 to 400 m north.
    fn face(height: impl Fn(f64) -> f64, plants: impl Fn(usize, usize) -> f32) -> Face {
        let grid = Grid::new(100, 100, 700.0, 400.0, 1.0, 1.0).unwrap();
        let heights = Raster::from_fn(grid, |row, col| height(grid.centre(row, col).1) as f32);
        let plants = Raster::from_fn(grid, plants);
        let ring = vec![[0.0, 0.0], [999.0, 0.0], [999.0, 999.0], [0.0, 999.0]];
        Face::new(&heights, &plants, Outline::new(&[ring]), 4.0).unwrap()
    }

    fn setting(plants: usize, least_share: f64) -> Setting {
        let manner = Manner::ContourRows { straight_below_deg: 5.0 };
        Setting { manner, plants, spacing_m: 4.0, least_share, seed: 1 }
    }

    /// Where plants of rows stand, metres east and south, with their rows.
    fn walked(face: &Face, lines: &[Line], plants: usize) -> (u32, Vec<(f64, f64, u32)>) {
        let mut apart = Apart::new(face, 4.0, plants);
        let rows = walk(face, lines, &setting(plants, 0.1), &mut apart);
        let from_corner = |plant: Position| (plant.x - 700.0, 400.0 - plant.y, plant.row);
        (rows, apart.into_positions().into_iter().map(from_corner).collect())
    }

    fn assert_at(found: &[(f64, f64, u32)], expected: &[(f64, f64, u32)]) {
        assert_eq!(found.len(), expected.len(), "{found:?}");
        for (found, expected) in found.iter().zip(expected) {
            let off = (found.0 - expected.0).hypot(found.1 - expected.1);
            assert!(off < 1e-3 && found.2 == expected.2, "{found:?} for {expected:?}");
        }
    }

    /// 30 m for ten plants: one at 1.5 m, then every 3 m, whatever stretches the row is made of.
    #[test]
    fn plants_share_a_row_evenly() {
        let face = face(|_| 0.0, |_, _| 0.1);
        let line = vec![[10.0, 50.0], [10.5, 50.0], [20.0, 50.0], [20.1, 50.0], [40.0, 50.0]];
        let expected: Vec<_> =
            (0..10).map(|index| (11.5 + 3.0 * f64::from(index), 50.0, 1)).collect();
        let (rows, found) = walked(&face, &[line], 10);
        assert_eq!(rows, 1);
        assert_at(&found, &expected);
    }

    /// Where the ground asks for twice as many they stand twice as near: 20 m that ask for one share
    /// and 20 m for two, for twelve plants. One share has four of them, every 5 m from 2.5 m; then
    /// half a plant has come, so that the next comes after 1.25 m, and the others every 2.5 m.
    #[test]
    fn plants_stand_nearer_where_more_are_asked_for() {
        let face = face(|_| 0.0, |_, col| if col < 50 { 0.1 } else { 0.2 });
        let line = vec![[30.0, 20.5], [50.0, 20.5], [70.0, 20.5]];
        let expected: Vec<_> = (0..12)
            .map(|index| {
                let first = 32.5 + 5.0 * f64::from(index);
                let second = 51.25 + 2.5 * (f64::from(index) - 4.0);
                (if index < 4 { first } else { second }, 20.5, 1)
            })
            .collect();
        assert_at(&walked(&face, &[line], 12).1, &expected);
    }

    /// Rows of 7, 1 and 8 m for four plants, one every 4 m: at 2 and 6 m of the first; the second has
    /// none, as only 2 m have come together with it; the third has one after 2 m and another.
    #[test]
    fn what_one_row_leaves_the_next_begins_with() {
        let face = face(|_| 0.0, |_, _| 0.1);
        let line = |south: f32, length: f32| vec![[20.0, south], [20.0 + length, south]];
        let lines = [line(30.0, 7.0), line(40.0, 1.0), line(50.0, 8.0)];
        let (rows, found) = walked(&face, &lines, 4);
        assert_eq!(rows, 2, "of those that have any");
        let expected = [(22.0, 30.0, 1), (26.0, 30.0, 1), (22.0, 50.0, 2), (26.0, 50.0, 2)];
        assert_at(&found, &expected);
    }

    /// A stretch asks for its length by what its middle asks for on the ground: on a slope of 3 : 4
    /// that asks for 0.1 a square metre of map, down to 25 m south and 50 m east.
    #[test]
    fn a_stretch_asks_by_its_length_and_its_middle() {
        let face = face(|y| 0.75 * y, |row, col| if row < 25 && col < 50 { 0.1 } else { 0.0 });
        for (from, to, expected) in [
            ([30.0, 20.0], [33.0, 24.0], 0.4),
            ([33.0, 24.0], [50.5, 24.0], 1.4),
            ([50.5, 24.0], [48.5, 24.0], 0.16),
            ([48.5, 24.0], [53.5, 24.0], 0.0),
            ([40.0, 20.0], [40.0, 29.0], 0.72),
            ([40.0, 29.0], [40.0, 22.0], 0.0),
            ([40.0, 22.0], [40.0, 29.0], 0.0),
        ] {
            let found = asks(&face, &vec![from, to]);
            assert!(found.len() == 1 && (found[0] - expected).abs() < 1e-4, "{from:?}: {found:?}");
        }
    }

    #[test]
    fn nothing_asked_for_is_no_row() {
        let line = || vec![[20.0, 30.0], [40.0, 30.0]];
        assert_eq!(walked(&face(|_| 0.0, |_, _| 0.0), &[line()], 5), (0, vec![]));
        assert_eq!(walked(&face(|_| 0.0, |_, _| 0.1), &[line()], 0), (0, vec![]));
        assert_eq!(walked(&face(|_| 0.0, |_, _| 0.1), &[vec![[20.0, 30.0]]], 5), (0, vec![]));
    }

    /// Where the plant of a row goes whose place at 20 m east and south is taken by one a little
    /// before it, with so much to keep; the row turns south after 1 m.
    fn beside(before_m: f64, least_share: f64) -> Option<(f64, f64)> {
        let face = face(|_| 0.0, |_, _| 0.1);
        let line: Line = vec![[5.0, 20.0], [20.35, 20.0], [21.0, 20.0], [21.0, 20.7], [21.0, 60.0]];
        let setting = setting(9, least_share);
        let mut apart = Apart::new(&face, 4.0, 9);
        assert!(apart.try_put([720.0 - before_m, 380.0], 0, 0.0));
        let row = OneRow { face: &face, line: &line, asks: &[], setting: &setting, number: 7 };
        row.put_near(0, [720.0, 380.0], &mut apart);
        let put = apart.into_positions().into_iter().nth(1)?;
        assert_eq!(put.row, 7);
        Some((put.x - 700.0, 400.0 - put.y))
    }

    /// Steps are 0.6 m and go round the bend with the row, up to 3 m.
    #[test]
    fn a_plant_whose_place_is_taken_goes_along_the_row() {
        let close = |found: Option<(f64, f64)>, east: f64, south: f64| {
            let found = found.unwrap();
            assert!((found.0 - east).hypot(found.1 - south) < 1e-4, "{found:?}");
        };
        close(beside(2.5, 0.6), 20.0, 20.0); // 2.4 m to keep
        close(beside(2.0, 0.6), 20.6, 20.0);
        // After 1.2 m it stands 0.2 m round the bend, √(2.5² + 0.2²) = 2.508 m off.
        close(beside(1.5, 0.6), 21.0, 20.2);
        // After 1.8 m √(2² + 0.8²) = 2.15, after 2.4 m √(2² + 1.4²) = 2.44.
        close(beside(1.0, 0.6), 21.0, 21.4);
        // 2.8 m to keep, and after 3 m it would be √(1² + 2²) = 2.24 m off.
        assert_eq!(beside(0.0, 0.7), None);
        // After 3.6 m it would be √(1.5² + 2.6²) = 3.002 m off: too far along.
        assert_eq!(beside(0.5, 0.745), None);
    }

    /// What a row asks for may come, by roundings or as here by far, to more plants than there are.
    #[test]
    fn no_more_stand_than_there_are() {
        let face = face(|_| 0.0, |_, _| 0.1);
        let line: Line = vec![[5.0, 20.0], [45.0, 20.0]];
        let setting = setting(3, 0.6);
        let mut apart = Apart::new(&face, 4.0, 3);
        let mut row =
            OneRow { face: &face, line: &line, asks: &[8.0], setting: &setting, number: 1 };
        row.put(0.0, 1.0, &mut apart);
        assert_eq!(apart.len(), 3);
    }

    #[test]
    fn a_row_that_ends_has_no_more_places() {
        let face = face(|_| 0.0, |_, _| 0.1);
        let line: Line = vec![[5.0, 20.0], [21.0, 20.0]];
        let setting = setting(9, 0.6);
        let mut apart = Apart::new(&face, 4.0, 9);
        assert!(apart.try_put([719.0, 380.0], 0, 0.0));
        let row = OneRow { face: &face, line: &line, asks: &[], setting: &setting, number: 7 };
        row.put_near(0, [720.0, 380.0], &mut apart);
        assert_eq!(apart.len(), 1);
    }
}
