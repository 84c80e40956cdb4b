//! A square-celled field of numbers over the ground, in metres from its north-west corner.

use geo::Coord;

/// Values on cells of one size, row by row from the north-west.
///
/// Positions are metres east (`x`) and south (`y`) of the outer corner of the first cell.
#[derive(Clone)]
pub(crate) struct Field {
    pub(crate) cols: usize,
    pub(crate) rows: usize,
    pub(crate) cell: f64,
    pub(crate) values: Vec<f64>,
}

impl Field {
    /// A field computed from the position of each cell's centre.
    pub(crate) fn from_fn(
        cols: usize,
        rows: usize,
        cell: f64,
        mut value: impl FnMut(f64, f64) -> f64,
    ) -> Self {
        let mut values = Vec::with_capacity(cols * rows);
        for row in 0..rows {
            for col in 0..cols {
                values.push(value((col as f64 + 0.5) * cell, (row as f64 + 0.5) * cell));
            }
        }
        Self { cols, rows, cell, values }
    }

    /// A field on the same cells.
    pub(crate) fn with_values(&self, values: Vec<f64>) -> Self {
        Self { cols: self.cols, rows: self.rows, cell: self.cell, values }
    }

    /// The same cells without values, to go through them while the values change.
    pub(crate) fn shape(&self) -> Self {
        self.with_values(Vec::new())
    }

    /// The middle of the whole field.
    pub(crate) fn middle(&self) -> Coord {
        Coord { x: self.cols as f64, y: self.rows as f64 } * (self.cell / 2.0)
    }

    /// The middle of a cell.
    pub(crate) fn centre(&self, index: usize) -> (f64, f64) {
        let (row, col) = (index / self.cols, index % self.cols);
        ((col as f64 + 0.5) * self.cell, (row as f64 + 0.5) * self.cell)
    }

    /// The cell nearest to a position, moved inside the field when outside.
    pub(crate) fn cell_at(&self, x: f64, y: f64) -> usize {
        let clamp = |metres: f64, cells: usize| {
            (metres / self.cell).floor().clamp(0.0, cells as f64 - 1.0) as usize
        };
        clamp(y, self.rows) * self.cols + clamp(x, self.cols)
    }

    /// Whether a cell lies on the rim.
    pub(crate) fn on_rim(&self, index: usize) -> bool {
        let (row, col) = (index / self.cols, index % self.cols);
        row == 0 || col == 0 || row + 1 == self.rows || col + 1 == self.cols
    }

    /// The up to eight neighbours of a cell, each with its distance in metres.
    pub(crate) fn neighbours(&self, index: usize) -> impl Iterator<Item = (usize, f64)> + use<> {
        const STEPS: [(isize, isize); 8] =
            [(-1, -1), (-1, 0), (-1, 1), (0, -1), (0, 1), (1, -1), (1, 0), (1, 1)];
        let (cols, rows, cell) = (self.cols as isize, self.rows as isize, self.cell);
        let (row, col) = (index as isize / cols, index as isize % cols);
        STEPS.into_iter().filter_map(move |(down, right)| {
            let (r, c) = (row + down, col + right);
            let inside = r >= 0 && c >= 0 && r < rows && c < cols;
            let distance = if down == 0 || right == 0 { cell } else { cell * 2f64.sqrt() };
            inside.then_some(((r * cols + c) as usize, distance))
        })
    }

    fn clamped(&self, col: isize, row: isize) -> f64 {
        let col = col.clamp(0, self.cols as isize - 1) as usize;
        let row = row.clamp(0, self.rows as isize - 1) as usize;
        self.values[row * self.cols + col]
    }

    /// The value between cells by Catmull–Rom cubics.
    pub(crate) fn cubic(&self, x: f64, y: f64) -> f64 {
        let (u, v) = (x / self.cell - 0.5, y / self.cell - 0.5);
        let (col, row) = (u.floor(), v.floor());
        let (across, down) = (cubic_weights(u - col), cubic_weights(v - row));
        let mut sum = 0.0;
        for (j, down) in down.into_iter().enumerate() {
            for (i, across) in across.into_iter().enumerate() {
                let at = self.clamped(col as isize + i as isize - 1, row as isize + j as isize - 1);
                sum += down * across * at;
            }
        }
        sum
    }

    /// The same ground on cells of another size, by cubics.
    pub(crate) fn resampled(&self, cell: f64) -> Self {
        let count = |cells: usize| (cells as f64 * self.cell / cell).round() as usize;
        Self::from_fn(count(self.cols), count(self.rows), cell, |x, y| self.cubic(x, y))
    }

    /// Three running means along rows and columns: close to a Gaussian of this standard deviation.
    pub(crate) fn blurred(&self, sigma: f64) -> Self {
        // three means of 2r + 1 cells have the variance ((2r + 1)² − 1) / 4
        let cells = sigma / self.cell;
        let radius = (((4.0 * cells * cells + 1.0).sqrt() - 1.0) / 2.0).round().max(1.0) as usize;
        let mut out = self.clone();
        for _ in 0..3 {
            out = out.running_mean(radius).transposed().running_mean(radius).transposed();
        }
        out
    }

    fn running_mean(&self, radius: usize) -> Self {
        let mut values = Vec::with_capacity(self.values.len());
        let mut sums = vec![0.0; self.cols + 1];
        for row in self.values.chunks(self.cols) {
            for (i, value) in row.iter().enumerate() {
                sums[i + 1] = sums[i] + value;
            }
            for i in 0..self.cols {
                let (from, to) = (i.saturating_sub(radius), (i + radius + 1).min(self.cols));
                values.push((sums[to] - sums[from]) / (to - from) as f64);
            }
        }
        self.with_values(values)
    }

    fn transposed(&self) -> Self {
        let mut values = Vec::with_capacity(self.values.len());
        for col in 0..self.cols {
            values.extend((0..self.rows).map(|row| self.values[row * self.cols + col]));
        }
        Self { cols: self.rows, rows: self.cols, cell: self.cell, values }
    }

    /// Fall to the east and to the south per metre (central differences).
    pub(crate) fn gradient(&self, index: usize) -> (f64, f64) {
        let (row, col) = ((index / self.cols) as isize, (index % self.cols) as isize);
        let rise = |a: f64, b: f64| (b - a) / (2.0 * self.cell);
        (
            rise(self.clamped(col - 1, row), self.clamped(col + 1, row)),
            rise(self.clamped(col, row - 1), self.clamped(col, row + 1)),
        )
    }

    /// Slope of each cell in degrees.
    pub(crate) fn slope_deg(&self) -> Self {
        let slope = |i| {
            let (east, south) = self.gradient(i);
            east.hypot(south).atan().to_degrees()
        };
        self.with_values((0..self.values.len()).map(slope).collect())
    }

    /// The value below which a share of the cells chosen by `among` lies.
    pub(crate) fn quantile(&self, share: f64, among: impl Fn(usize) -> bool) -> f64 {
        let mut chosen: Vec<f64> =
            (0..self.values.len()).filter(|&i| among(i)).map(|i| self.values[i]).collect();
        chosen.sort_by(f64::total_cmp);
        let at = (chosen.len() as f64 * share) as usize;
        chosen.get(at.min(chosen.len().saturating_sub(1))).copied().unwrap_or(f64::INFINITY)
    }
}

fn cubic_weights(t: f64) -> [f64; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [
        0.5 * (-t3 + 2.0 * t2 - t),
        0.5 * (3.0 * t3 - 5.0 * t2 + 2.0),
        0.5 * (-3.0 * t3 + 4.0 * t2 + t),
        0.5 * (t3 - t2),
    ]
}

/// Rises smoothly from 0 at `from` to 1 at `to` (which may be the smaller one).
pub(crate) fn smooth_step(from: f64, to: f64, at: f64) -> f64 {
    let t = ((at - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}
