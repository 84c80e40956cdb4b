//! Rows: lines of equal distance from the guides, half a spacing from them and then a spacing apart.

use crate::Face;
use crate::reach::Reach;

/// A row as a line on the map: metres east and south of the north-west corner of the face.
pub(crate) type Line = Vec<[f32; 2]>;

/// Rows from the highest to the lowest, by their mean height.
///
/// A row is followed from one side of a cell to another, cells being the squares between four
/// centres; where two rows could cross within a square, the mean of its corners decides.
pub(crate) fn rows(face: &Face, reach: &Reach, apart_m: f64) -> Vec<Line> {
    let grid = face.grid();
    let mut tracer = Tracer {
        metres: &reach.metres,
        cols: grid.cols(),
        rows: grid.rows(),
        apart: apart_m as f32,
        followed: vec![0; reach.metres.len()],
    };
    let mut lines = Vec::new();
    for row in 0..tracer.rows {
        for col in 0..tracer.cols {
            let from = tracer.metres[row * tracer.cols + col];
            if !from.is_finite() {
                continue;
            }
            for down in [false, true] {
                let edge = Edge { row, col, down };
                let Some([_, to]) = tracer.ends(edge) else { continue };
                let mut number = (from.min(to) / tracer.apart + 0.5).floor();
                while tracer.level(number) < from.max(to) {
                    if tracer.crosses(edge, number) && !tracer.is_followed(edge, number) {
                        lines.push(tracer.whole(edge, number));
                    }
                    number += 1.0;
                }
            }
        }
    }
    let [width, height] = [grid.cell_width() as f32, grid.cell_height() as f32];
    for line in &mut lines {
        for [east, south] in line.iter_mut() {
            (*east, *south) = ((*east + 0.5) * width, (*south + 0.5) * height);
        }
    }
    let mut placed: Vec<(f64, Line)> =
        lines.into_iter().map(|line| (mean_height(face, &line), line)).collect();
    placed.sort_by(|(a, _), (b, _)| b.total_cmp(a)); // stable: by place where alike
    placed.into_iter().map(|(_, line)| line).collect()
}

fn mean_height(face: &Face, line: &Line) -> f64 {
    let step = (line.len() / 16).max(1);
    let grid = face.grid();
    let heights = line.iter().step_by(step).map(|[east, south]| {
        face.height([grid.west() + f64::from(*east), grid.north() - f64::from(*south)])
    });
    let count = line.len().div_ceil(step);
    heights.sum::<f64>() / count as f64
}

/// A side between two neighbouring centres: from a centre eastward or downward (southward).
#[derive(Clone, Copy, PartialEq, Eq)]
struct Edge {
    row: usize,
    col: usize,
    down: bool,
}

/// A square between four centres, by its north-western one.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Square {
    row: usize,
    col: usize,
}

struct Tracer<'a> {
    metres: &'a [f32],
    cols: usize,
    rows: usize,
    apart: f32,
    /// For each centre, which of its two edges rows of even and odd number have been followed over.
    followed: Vec<u8>,
}

impl Tracer<'_> {
    fn level(&self, number: f32) -> f32 {
        (number + 0.5) * self.apart
    }

    /// Distances at both ends of an edge, when it lies on the lattice and they are known.
    #[inline]
    fn ends(&self, edge: Edge) -> Option<[f32; 2]> {
        let at = edge.row * self.cols + edge.col;
        let there = if edge.down { edge.row + 1 < self.rows } else { edge.col + 1 < self.cols };
        let other = there.then_some(if edge.down { at + self.cols } else { at + 1 })?;
        let ends = [self.metres[at], self.metres[other]];
        (ends[0].is_finite() && ends[1].is_finite()).then_some(ends)
    }

    fn crosses(&self, edge: Edge, number: f32) -> bool {
        let level = self.level(number);
        self.ends(edge).is_some_and(|[from, to]| (from < level) != (to < level))
    }

    fn bit(edge: Edge, number: f32) -> u8 {
        1 << (2 * u8::from(edge.down) + (number as i64 & 1) as u8)
    }

    fn is_followed(&self, edge: Edge, number: f32) -> bool {
        self.followed[edge.row * self.cols + edge.col] & Self::bit(edge, number) != 0
    }

    fn mark(&mut self, edge: Edge, number: f32) {
        self.followed[edge.row * self.cols + edge.col] |= Self::bit(edge, number);
    }

    /// Where a row crosses an edge: columns and rows from the first centre.
    fn point(&self, edge: Edge, number: f32) -> [f32; 2] {
        let [from, to] = self.ends(edge).unwrap_or_default();
        let along = ((self.level(number) - from) / (to - from)).clamp(0.0, 1.0);
        let (row, col) = (edge.row as f32, edge.col as f32);
        if edge.down { [col, row + along] } else { [col + along, row] }
    }

    /// A row that crosses an edge, followed both ways.
    fn whole(&mut self, edge: Edge, number: f32) -> Line {
        let [first, second] = self.squares(edge);
        self.mark(edge, number);
        let mut line = self.follow(edge, first, number);
        line.reverse();
        line.push(self.point(edge, number));
        // A closed row has come back to where it began.
        let back = line.len() > 1
            && second.is_some_and(|square| {
                self.exit(square, edge, number).is_some_and(|next| self.is_followed(next, number))
            });
        if back {
            line.extend(line.first().copied());
        } else {
            line.extend(self.follow(edge, second, number));
        }
        line
    }

    /// The points of a row beyond an edge, into a square, marking what it goes over.
    fn follow(&mut self, edge: Edge, square: Option<Square>, number: f32) -> Line {
        let (mut line, mut edge, mut square) = (Vec::new(), edge, square);
        while let Some(here) = square {
            let Some(next) = self.exit(here, edge, number) else { break };
            if self.is_followed(next, number) {
                break;
            }
            self.mark(next, number);
            line.push(self.point(next, number));
            square = self.squares(next).into_iter().flatten().find(|other| *other != here);
            edge = next;
        }
        line
    }

    /// The squares on both sides of an edge.
    fn squares(&self, Edge { row, col, down }: Edge) -> [Option<Square>; 2] {
        let square = |there: bool, row: usize, col: usize| there.then_some(Square { row, col });
        let here = row + 1 < self.rows && col + 1 < self.cols;
        if down {
            [
                square(col > 0 && row + 1 < self.rows, row, col.wrapping_sub(1)),
                square(here, row, col),
            ]
        } else {
            [
                square(row > 0 && col + 1 < self.cols, row.wrapping_sub(1), col),
                square(here, row, col),
            ]
        }
    }

    /// The edge over which a row leaves a square that it entered over another.
    fn exit(&self, Square { row, col }: Square, entered: Edge, number: f32) -> Option<Edge> {
        let at = row * self.cols + col;
        let corners = [at, at + 1, at + self.cols + 1, at + self.cols].map(|at| self.metres[at]);
        if corners.iter().any(|metres| !metres.is_finite()) {
            return None;
        }
        let level = self.level(number);
        let [nw, ne, se, sw] = corners.map(|metres| metres < level);
        // North, east, south, west: each between two corners that follow each other.
        let crossed = [nw != ne, ne != se, se != sw, sw != nw];
        let sides = [
            Edge { row, col, down: false },
            Edge { row, col: col + 1, down: true },
            Edge { row: row + 1, col, down: false },
            Edge { row, col, down: true },
        ];
        let from = sides.iter().position(|side| *side == entered)?;
        if crossed == [true; 4] {
            let middle = corners.iter().sum::<f32>() / 4.0;
            // With the middle goes the north-western corner, or not: north pairs with east and south
            // with west, or north with west and south with east.
            let to = if (middle < level) == nw { [1, 0, 3, 2][from] } else { [3, 2, 1, 0][from] };
            return Some(sides[to]);
        }
        let to = (0..4).find(|side| *side != from && crossed[*side])?;
        crossed[from].then_some(sides[to])
    }
}

#[cfg(test)]
mod tests;
