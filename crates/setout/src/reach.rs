//! How far, over the ground, each cell lies from the lines that rows run along.
//!
//! The distance u solves |∇u| = 1 / cos θ on the map (θ the slope), so that a step straight up or
//! down the slope counts with its length on the ground. Steps aslant count somewhat more than they
//! are long. It is found by sweeping over the cells in four directions until nothing changes.
//!
//! Source: Zhao 2005, A fast sweeping method for eikonal equations, Mathematics of Computation 74
//! (the scheme, from memory; a test compares with distances known exactly).

use crate::Face;
use crate::face::Within;
use crate::guides::Guides;

/// Distances settle within a few rounds; this only bounds the worst.
const MOST_ROUNDS: usize = 40;
/// Changes below this share of a cell are no matter.
const NO_MATTER: f32 = 1e-3;

/// Distances of cells from the guides, metres on the ground; infinite beyond the block.
pub(crate) struct Reach {
    pub(crate) metres: Vec<f32>,
}

/// Distances of all cells of a block. A part of it that no guide crosses gets a contour of its own,
/// halfway up.
pub(crate) fn reach(face: &Face, guides: &Guides) -> Reach {
    let lattice = Lattice::new(face);
    let mut metres = vec![f32::INFINITY; face.heights().len()];
    match guides {
        Guides::Straight { through, along } => {
            for (cell, metres) in metres.iter_mut().enumerate() {
                if face.within()[cell] != Within::No {
                    let [x, y] = face.centre(cell);
                    let aside = (x - through[0]) * along[1] - (y - through[1]) * along[0];
                    *metres = aside.abs() as f32; // on ground so gentle the map will do
                }
            }
        }
        Guides::Contours(levels) => {
            lattice.begin(face, levels, 0..metres.len(), &mut metres);
            lattice.sweep(&mut metres);
            while let Some(part) = lattice.unreached(&metres) {
                let heights = part.iter().map(|cell| face.heights()[*cell]);
                let (low, high) = heights
                    .fold((f32::INFINITY, f32::NEG_INFINITY), |(l, h), z| (l.min(z), h.max(z)));
                let halfway = [f32::midpoint(low, high)];
                lattice.begin(face, &halfway, part.iter().copied(), &mut metres);
                if part.iter().all(|cell| metres[*cell].is_infinite()) {
                    metres[part[part.len() / 2]] = 0.0; // level ground
                }
                lattice.sweep(&mut metres);
            }
        }
    }
    Reach { metres }
}

struct Lattice {
    cols: usize,
    rows: usize,
    width: f32,
    height: f32,
    /// One over the squares of width and height, and over their sum.
    per_m2: [f32; 2],
    per_both: f32,
    /// Metres on the ground up the slope for a metre of map, 1 / cos θ; 0 beyond the block.
    lengthening: Vec<f32>,
    /// First and end column of the block in each row.
    spans: Vec<[usize; 2]>,
}

impl Lattice {
    fn new(face: &Face) -> Self {
        let grid = face.grid();
        let (cols, rows) = (grid.cols(), grid.rows());
        let within = face.within();
        let lengthening = (0..grid.len()).map(|cell| {
            if within[cell] == Within::No { 0.0 } else { face.cosines()[cell].recip() }
        });
        let span = |row: usize| {
            let row = &within[row * cols..(row + 1) * cols];
            let first = row.iter().position(|within| *within != Within::No);
            let last = row.iter().rposition(|within| *within != Within::No);
            first.zip(last).map_or([0, 0], |(first, last)| [first, last + 1])
        };
        let per_m2 =
            [grid.cell_width(), grid.cell_height()].map(|side| (side * side).recip() as f32);
        Self {
            cols,
            rows,
            width: grid.cell_width() as f32,
            height: grid.cell_height() as f32,
            per_m2,
            per_both: (per_m2[0] + per_m2[1]).recip(),
            lengthening: lengthening.collect(),
            spans: (0..rows).map(span).collect(),
        }
    }

    /// Gives the cells on both sides of a contour their distance from it; `levels` from the lowest.
    fn begin(
        &self,
        face: &Face,
        levels: &[f32],
        cells: impl Iterator<Item = usize>,
        metres: &mut [f32],
    ) {
        let heights = face.heights();
        for cell in cells {
            if self.lengthening[cell] <= 0.0 {
                continue;
            }
            let east = (cell % self.cols + 1 < self.cols).then_some((cell + 1, self.width));
            let south =
                (cell + self.cols < heights.len()).then_some((cell + self.cols, self.height));
            for (other, side) in [east, south].into_iter().flatten() {
                if self.lengthening[other] <= 0.0 {
                    continue;
                }
                let low = heights[cell].min(heights[other]);
                let high = heights[cell].max(heights[other]);
                let first = levels.partition_point(|level| *level <= low);
                for level in levels[first..].iter().take_while(|level| **level <= high) {
                    for one in [cell, other] {
                        let up = (heights[one] - level).abs();
                        // Along the edge, or straight up the slope where that is shorter.
                        let along = self.lengthening[one] * side * (up / (high - low));
                        let steep = (self.lengthening[one].powi(2) - 1.0).max(0.0).sqrt();
                        let straight = up * self.lengthening[one] / steep;
                        let near = if straight < along { straight } else { along };
                        metres[one] = metres[one].min(near);
                    }
                }
            }
        }
    }

    fn sweep(&self, metres: &mut [f32]) {
        let smallest = NO_MATTER * self.width.min(self.height);
        for round in 0..MOST_ROUNDS {
            let mut changed = 0.0_f32;
            for corner in 0..4 {
                changed = changed.max(self.sweep_from(corner, metres));
            }
            if round > 0 && changed < smallest {
                return;
            }
        }
    }

    /// One pass over all cells, away from one of the corners; the largest change.
    fn sweep_from(&self, corner: usize, metres: &mut [f32]) -> f32 {
        let (northward, westward) = (corner & 1 == 1, corner & 2 == 2);
        let mut changed = 0.0_f32;
        for step in 0..self.rows {
            let row = if northward { self.rows - 1 - step } else { step };
            let [first, end] = self.spans[row];
            for step in 0..end - first {
                let col = if westward { end - 1 - step } else { first + step };
                let cell = row * self.cols + col;
                if self.lengthening[cell] <= 0.0 {
                    continue;
                }
                let at =
                    |there: bool, cell: usize| if there { metres[cell] } else { f32::INFINITY };
                let west = at(col > 0, cell.wrapping_sub(1));
                let east = at(col + 1 < self.cols, cell + 1);
                let north = at(row > 0, cell.wrapping_sub(self.cols));
                let south = at(row + 1 < self.rows, cell + self.cols);
                let found = self.arrival(west.min(east), north.min(south), self.lengthening[cell]);
                if found < metres[cell] {
                    let before = if metres[cell].is_finite() { metres[cell] } else { found + 1.0 };
                    changed = changed.max(before - found);
                    metres[cell] = found;
                }
            }
        }
        changed
    }

    /// Distance of a cell from those of its nearer neighbours east or west, and north or south.
    #[inline]
    fn arrival(&self, beside: f32, above: f32, lengthening: f32) -> f32 {
        let one_way = (beside + lengthening * self.width).min(above + lengthening * self.height);
        let [a, b] = self.per_m2;
        let apart = beside - above;
        let under_root = lengthening * lengthening * (a + b) - a * b * apart * apart;
        // Not so when one of them is infinite.
        if under_root >= 0.0 {
            let both = (a * beside + b * above + under_root.sqrt()) * self.per_both;
            if both >= beside.max(above) { both.min(one_way) } else { one_way }
        } else {
            one_way
        }
    }

    /// The cells of one part of the block that nothing has reached.
    fn unreached(&self, metres: &[f32]) -> Option<Vec<usize>> {
        let open = |cell: usize| self.lengthening[cell] > 0.0 && metres[cell].is_infinite();
        let first = (0..metres.len()).find(|cell| open(*cell))?;
        let mut seen = std::collections::BTreeSet::from([first]);
        let (mut part, mut next) = (vec![], vec![first]);
        while let Some(cell) = next.pop() {
            part.push(cell);
            let col = cell % self.cols;
            let beside = [
                cell.checked_sub(self.cols),
                Some(cell + self.cols).filter(|cell| *cell < metres.len()),
                (col > 0).then(|| cell - 1),
                (col + 1 < self.cols).then(|| cell + 1),
            ];
            let beside = beside.into_iter().flatten().filter(|cell| open(*cell));
            next.extend(beside.filter(|cell| seen.insert(*cell)));
        }
        part.sort_unstable();
        Some(part)
    }
}

#[cfg(test)]
mod tests;
