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
    /// Room for plants of which none is asked to stand farther from others than `farthest_m`, above 0.
    pub(crate) fn new(face: &'f Face, farthest_m: f64, plants: usize) -> Self {
        let grid = face.grid();
        let (width, height) = (grid.east() - grid.west(), grid.north() - grid.south());
        // Smaller squares than the grid is worth would only cost memory.
        let most = (4 * plants).max(64) as f64;
        let side = farthest_m.max((width * height / most).sqrt());
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

    /// The greatest distance that can be asked for: a side of the squares plants are found by.
    pub(crate) fn room(&self) -> f64 {
        self.squares_a_metre.recip()
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

    /// Whether a plant may stand at a point, with at least `least_m` to every other; that is at
    /// most [`Apart::room`]. Distance is that in space.
    fn may_stand(&self, position: &Position, least_m: f64) -> bool {
        let (col, row) = self.square(position.x, position.y);
        let (cols, rows) = (col.saturating_sub(1), row.saturating_sub(1));
        let least = least_m * least_m;
        for row in rows..=(row + 1).min(self.down - 1) {
            for square in &self.squares[row * self.across..][cols..=(col + 1).min(self.across - 1)]
            {
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
