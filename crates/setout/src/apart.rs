//! Plants that stand no closer than they may.

use crate::{Face, Position};

/// No plant.
const NONE: u32 = u32::MAX;

/// Plants placed so far, found by place.
pub(crate) struct Apart<'f> {
    face: &'f Face,
    placed: Vec<Placed>,
    /// The last plant put into each square, then by `Placed::next` those before it.
    squares: Vec<u32>,
    across: usize,
    down: usize,
    squares_a_metre: f64,
}

struct Placed {
    position: Position,
    next: u32,
}

impl<'f> Apart<'f> {
    /// No plants yet, and so many to come, most of them asked to stand about `usual_m`, above 0, from
    /// others: a question then looks at few squares and few plants.
    pub(crate) fn new(face: &'f Face, usual_m: f64, plants: usize) -> Self {
        let grid = face.grid();
        let (width, height) = (grid.east() - grid.west(), grid.north() - grid.south());
        // Smaller squares than the grid is worth would only cost memory.
        let most = (4 * plants).max(64) as f64;
        let side = usual_m.max((width * height / most).sqrt());
        let [across, down] = [width, height].map(|length| (length / side) as usize + 1);
        Self {
            face,
            placed: Vec::with_capacity(plants),
            squares: vec![NONE; across * down],
            across,
            down,
            squares_a_metre: side.recip(),
        }
    }

    pub(crate) fn len(&self) -> usize {
        self.placed.len()
    }

    fn square(&self, x: f64, y: f64) -> (usize, usize) {
        let grid = self.face.grid();
        let east = ((x - grid.west()) * self.squares_a_metre) as usize;
        let south = ((grid.north() - y) * self.squares_a_metre) as usize;
        (east.min(self.across - 1), south.min(self.down - 1))
    }

    /// Whether a plant may stand at a point, with at least `least_m` to every other. Distance is that
    /// in space, never less than that on the map, by which others are found.
    fn may_stand(&self, position: &Position, least_m: f64) -> bool {
        let (first_col, first_row) = self.square(position.x - least_m, position.y + least_m);
        let (last_col, last_row) = self.square(position.x + least_m, position.y - least_m);
        let least = least_m * least_m;
        for row in first_row..=last_row {
            for square in &self.squares[row * self.across..][first_col..=last_col] {
                let mut at = *square;
                while let Some(one) = self.placed.get(at as usize) {
                    if one.position.apart_m2(position) < least {
                        return false;
                    }
                    at = one.next;
                }
            }
        }
        true
    }

    /// Puts a plant where it may stand.
    fn put(&mut self, position: Position) {
        let (col, row) = self.square(position.x, position.y);
        let square = &mut self.squares[row * self.across + col];
        let next = std::mem::replace(square, self.placed.len() as u32);
        self.placed.push(Placed { position, next });
    }

    /// Puts a plant at a point of the block if one may stand there; whether it was.
    pub(crate) fn try_put(&mut self, [x, y]: [f64; 2], row: u32, least_m: f64) -> bool {
        if self.face.plants_at([x, y]) <= 0.0 {
            return false;
        }
        let position = Position { x, y, height_m: self.face.height([x, y]) as f32, row };
        let may = self.may_stand(&position, least_m);
        if may {
            self.put(position);
        }
        may
    }

    /// All plants in the order in which they were put.
    pub(crate) fn into_positions(self) -> Vec<Position> {
        self.placed.into_iter().map(|one| one.position).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Outline;
    use proptest::prelude::*;
    use terrain::{Grid, Raster};

    /// Ground of 60 by 40 m that rises 3 m on 4; nothing may stand in its last 10 m eastward.
    fn face() -> Face {
        let grid = Grid::new(30, 20, 0.5, 40.25, 2.0, 2.0).unwrap();
        let heights = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            (0.6 * x + 0.45 * y) as f32
        });
        let plants = Raster::from_fn(grid, |_, col| if col < 25 { 0.1 } else { 0.0 });
        let ring = vec![[0.0, 0.0], [999.0, 0.0], [999.0, 999.0], [0.0, 999.0]];
        Face::new(&heights, &plants, Outline::new(&[ring]), 4.0).unwrap()
    }

    proptest! {
        /// Slow twin: every plant that stands, asked for its distance in space.
        #[test]
        fn a_plant_is_put_where_no_other_is_too_near(
            asked in prop::collection::vec((0.0..60.0_f64, 0.0..40.0_f64, 0.0..1.0_f64), 1..120),
            usual_m in 2.0..30.0_f64, plants in 0_usize..300,
        ) {
            let face = face();
            let mut apart = Apart::new(&face, usual_m, plants);
            let mut standing: Vec<Position> = Vec::new();
            for (row, (east, north, share)) in (1..).zip(asked) {
                let least_m = 3.0 * share * usual_m;
                let at = [0.5 + east, 0.25 + north];
                let height = face.height(at);
                let is_free = standing.iter().all(|other| {
                    let up = height - f64::from(other.height_m);
                    (other.x - at[0]).hypot(other.y - at[1]).hypot(up) >= least_m
                });
                let may = east < 50.0 && is_free;
                prop_assert_eq!(apart.try_put(at, row, least_m), may, "{:?}", at);
                if may {
                    standing.push(Position { x: at[0], y: at[1], height_m: height as f32, row });
                }
                prop_assert_eq!(apart.len(), standing.len());
            }
            prop_assert_eq!(apart.into_positions(), standing);
        }
    }

    #[test]
    fn just_far_enough_is_far_enough() {
        let grid = Grid::new(20, 20, 0.0, 20.0, 1.0, 1.0).unwrap();
        let level = Raster::filled(grid, 1.0_f32);
        let ring = vec![[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0]];
        let face = Face::new(&level, &level, Outline::new(&[ring]), 4.0).unwrap();
        let mut apart = Apart::new(&face, 5.0, 9);
        assert!(apart.try_put([4.0, 4.0], 1, 5.0));
        assert!(apart.try_put([8.0, 7.0], 1, 5.0), "3 and 4 m: 5 m");
        assert!(!apart.try_put([8.0, 11.984_375], 1, 5.0));
    }

    /// Squares are no more than four for a plant, a few besides for what is cut off at the edges.
    #[test]
    fn squares_are_as_many_as_plants_are_worth() {
        let face = face();
        for plants in [100, 400, 10_000] {
            let squares = Apart::new(&face, 0.01, plants).squares.len();
            assert!((4 * plants..5 * plants).contains(&squares), "{squares} for {plants}");
        }
        assert!((64..90).contains(&Apart::new(&face, 0.01, 0).squares.len()));
        // 60 by 40 m in squares of 7 m.
        assert_eq!(Apart::new(&face, 7.0, 10_000).squares.len(), 9 * 6);
    }
}
