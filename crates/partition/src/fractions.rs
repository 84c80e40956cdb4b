//! The exact share of each lattice cell that a polygon covers.

use crate::lattice::Lattice;
use crate::layers::{Polygon, doubled_area};

/// Neighbouring cells of one row that are covered to the same degree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// The row, from the north.
    pub row: u32,
    /// The first column.
    pub first_col: u32,
    /// The number of columns.
    pub cols: u32,
    /// The share of each cell that is covered: above 0, at most 1.
    pub fraction: f64,
}

/// The cells that polygons cover, row by row from the north-west, with the share of each.
///
/// Shares are those of the exact intersection, not of sample points: they add up to the area of the
/// polygons, and the shares of the pieces of a partition add up to 1 in each cell inside it. What lies
/// off the lattice is left out. The polygons must be valid and may not overlap.
///
/// # Cost
/// Linear in the edges and in the cells that edges pass, apart from sorting those of each row; a run of fully
/// covered cells is one span.
///
/// # References
/// The signed-area accumulation of scanline rasterisers with exact coverage (common practice in font
/// rendering; no source).
#[must_use]
pub fn cell_fractions(polygons: &[Polygon], lattice: &Lattice) -> Vec<Span> {
    let mut touches = Touches { lattice, all: Vec::new() };
    for polygon in polygons {
        touches.add_ring(&polygon.shell, 1.0);
        polygon.holes.iter().for_each(|hole| touches.add_ring(hole, -1.0));
    }
    let mut all = by_row(&touches.all);
    let mut spans = Vec::new();
    for row in all.chunk_by_mut(|a, b| a.row == b.row) {
        row.sort_unstable_by(|a, b| {
            a.col
                .cmp(&b.col)
                .then(a.descent.total_cmp(&b.descent))
                .then(a.covered.total_cmp(&b.covered))
        });
        sweep(row, lattice.cols, &mut spans);
    }
    spans
}

/// The same pieces, row after row.
fn by_row(touches: &[Touch]) -> Vec<Touch> {
    let rows = || touches.iter().map(|touch| touch.row);
    let (Some(north), Some(south)) = (rows().min(), rows().max()) else { return Vec::new() };
    // Where the pieces of each row begin.
    let mut places = vec![0_usize; (south - north) as usize + 2];
    rows().for_each(|row| places[(row - north) as usize + 1] += 1);
    for row in 1..places.len() {
        places[row] += places[row - 1];
    }
    let mut sorted = vec![touches[0]; touches.len()];
    for touch in touches {
        let place = &mut places[(touch.row - north) as usize];
        sorted[*place] = *touch;
        *place += 1;
    }
    sorted
}

/// A piece of an edge in a cell.
#[derive(Clone, Copy)]
struct Touch {
    row: u32,
    col: u32,
    /// How far the edge runs south in the cell, in cells: that much of every cell further east is
    /// covered on its account.
    descent: f64,
    /// The share of this cell that lies between the piece and the cell's eastern side, with the sign of
    /// the descent.
    covered: f64,
}

struct Touches<'a> {
    lattice: &'a Lattice,
    all: Vec<Touch>,
}

/// A position in cells east and south of the lattice's north-western corner.
type Place = [f64; 2];

impl Touches<'_> {
    /// Adds a ring as if it ran counter-clockwise, with a sign.
    fn add_ring(&mut self, ring: &[[f64; 2]], sign: f64) {
        let Some(&last) = ring.last() else { return };
        let sign = if doubled_area(ring) < 0.0 { -sign } else { sign };
        let mut from = self.place(last);
        for &point in ring {
            let to = self.place(point);
            // the northern end first, so that neighbours compute the same shares
            if from[1] < to[1] {
                self.add_descent(from, to, sign);
            } else if from[1] > to[1] {
                self.add_descent(to, from, -sign);
            }
            from = to;
        }
    }

    fn place(&self, [x, y]: [f64; 2]) -> Place {
        let l = self.lattice;
        [(x - l.west) / l.cell_width, (l.north - y) / l.cell_height]
    }

    /// Cuts an edge that runs south at the rows of cells.
    fn add_descent(&mut self, from: Place, to: Place, sign: f64) {
        let slope = (to[0] - from[0]) / (to[1] - from[1]);
        let east_at = |south: f64| {
            if south >= to[1] { to[0] } else { from[0] + (south - from[1]) * slope }
        };
        let end = to[1].min(f64::from(self.lattice.rows));
        let mut south = from[1].max(0.0);
        while south < end {
            let row = whole(south);
            let next = (row + 1.0).min(end);
            let (start, stop) = ([east_at(south), south], [east_at(next), next]);
            let (west, east) = if start[0] <= stop[0] { (start, stop) } else { (stop, start) };
            self.add_in_row(row as u32, west, east, sign);
            south = next;
        }
    }

    /// Cuts the part of an edge in one row at the columns of cells, from west to east. What lies west of
    /// the lattice covers whole rows; what lies east of it covers nothing.
    fn add_in_row(&mut self, row: u32, west: Place, east: Place, sign: f64) {
        let cols = f64::from(self.lattice.cols);
        let height = (east[1] - west[1]).abs();
        let mut at = west[0];
        loop {
            let next = if at < 0.0 {
                east[0].min(0.0)
            } else if at < cols {
                east[0].min(whole(at) + 1.0)
            } else {
                return;
            };
            let share = if east[0] > west[0] { (next - at) / (east[0] - west[0]) } else { 1.0 };
            let descent = sign * height * share;
            let col = whole(at.max(0.0));
            let middle = (f64::midpoint(at, next) - col).max(0.0);
            self.all.push(Touch {
                row,
                col: col as u32,
                descent,
                covered: descent * (1.0 - middle),
            });
            at = next;
            if at >= east[0] {
                return;
            }
        }
    }
}

/// The whole part of a number that is not below 0 and lies on the lattice.
fn whole(number: f64) -> f64 {
    f64::from(number as u32)
}

/// Adds up the pieces of edges in one row, sorted by column.
fn sweep(row: &[Touch], cols: u32, spans: &mut Vec<Span>) {
    let mut descent = 0.0;
    let mut free = 0;
    for cell in row.chunk_by(|a, b| a.col == b.col) {
        let Touch { row, col, .. } = cell[0];
        push(spans, row, free, col - free, descent);
        let covered: f64 = cell.iter().map(|touch| touch.covered).sum();
        push(spans, row, col, 1, descent + covered);
        descent = settle(descent + cell.iter().map(|touch| touch.descent).sum::<f64>());
        free = col + 1;
    }
    push(spans, row[0].row, free, cols - free, descent);
}

/// Frees a sum of heights from rounding: where no edge is near it is a whole number.
fn settle(descent: f64) -> f64 {
    // To the nearest, by way of a whole number: heights are few.
    let whole = (descent + 0.5_f64.copysign(descent)) as i64 as f64;
    if (descent - whole).abs() < 1e-11 { whole } else { descent }
}

fn push(spans: &mut Vec<Span>, row: u32, first_col: u32, cols: u32, fraction: f64) {
    let fraction = settle(fraction).clamp(0.0, 1.0);
    if cols == 0 || fraction <= 0.0 {
        return;
    }
    match spans.last_mut() {
        Some(span)
            if span.row == row
                && span.first_col + span.cols == first_col
                && span.fraction.to_bits() == fraction.to_bits() =>
        {
            span.cols += cols;
        }
        _ => spans.push(Span { row, first_col, cols, fraction }),
    }
}
