//! Parallel lines over a grid in one direction, on which every cell lies exactly once.

use std::iter::StepBy;
use std::ops::{Range, RangeFrom};

use rayon::prelude::*;

use crate::Raster;

/// Lines taken together, so that neighbouring cells are read, reckoned and written together.
pub(super) const LANES: usize = 32;

/// The cells of a place that lines taken together pass, and one more at either end.
const AROUND: usize = LANES + 2;

/// A place between whole cells where no survey puts its corner: counting from there, a grid and a
/// part cut from it number their cells alike in spite of rounding.
const ODD_PLACE: f64 = 0.381_966;

/// Positions of neighbouring cells, without end.
pub(super) type Cells = StepBy<RangeFrom<usize>>;

/// Lines that run along a grid's rows or columns, whichever they cross more of, each from its far
/// end (as looked in the direction) to its near end.
pub(super) struct Lines<'a> {
    cells: &'a [f32],
    /// For each place along, from far to near: cells to go sideways, and where ground is taken.
    places: Vec<Place>,
    /// Cells across.
    across: usize,
    /// Positions from a cell to the next one across.
    stride_across: usize,
    /// Metres from one place to the next.
    pub(super) step_m: f64,
    /// Places within the distance looked.
    pub(super) window: usize,
}

/// A row (or column) that lines pass.
#[derive(Clone, Copy)]
pub(super) struct Place {
    /// Position of its first cell.
    first: usize,
    /// Cells that a line has gone sideways since place 0 of the map.
    sideways: i64,
    /// Cells from the centre of a cell to where its line passes, −½ to ½.
    beside: f64,
    /// The place's number on the map, growing towards the near end.
    pub(super) number: f64,
}

impl Place {
    /// Ground where lines pass beside neighbouring cells, of which one more is given at either end.
    #[inline]
    fn ground(self, cells: &[f32; AROUND], to: &mut [f64; LANES]) {
        let neighbours = if self.beside < 0.0 { &cells[..LANES] } else { &cells[2..] };
        let beside = self.beside.abs();
        for ((to, here), next) in to.iter_mut().zip(&cells[1..]).zip(neighbours) {
            let (here, next) = (f64::from(*here), f64::from(*next));
            let between = here + (next - here) * beside;
            *to = to_micrometres(if next.is_finite() { between } else { here });
        }
    }
}

impl<'a> Lines<'a> {
    /// Lines over ground looked at in the direction `azimuth_deg`.
    pub(super) fn new(elevation: &'a Raster<f32>, azimuth_deg: f64, distance_m: f64) -> Self {
        let grid = elevation.grid();
        let (width, height) = (grid.cell_width(), grid.cell_height());
        let (east, north) = azimuth_deg.to_radians().sin_cos();
        let (cols_a_metre, rows_a_metre) = (east / width, -north / height);
        let along_rows = rows_a_metre.abs() >= cols_a_metre.abs();
        let (along, across, stride, stride_across, ahead, aside, first) = if along_rows {
            let first = -(grid.north() / height + ODD_PLACE).floor();
            (grid.rows(), grid.cols(), grid.cols(), 1, rows_a_metre, cols_a_metre, first)
        } else {
            let first = (grid.west() / width + ODD_PLACE).floor();
            (grid.cols(), grid.rows(), 1, grid.cols(), cols_a_metre, rows_a_metre, first)
        };
        let drift = snapped(aside / ahead);
        let place = |index: usize| {
            let number = first + index as f64;
            let sideways = (drift * number + 0.5).floor();
            let beside = drift * number - sideways;
            let number = if ahead > 0.0 { -number } else { number };
            Place { first: index * stride, sideways: sideways as i64, beside, number }
        };
        let mut places: Vec<Place> = (0..along).map(place).collect();
        if ahead > 0.0 {
            places.reverse();
        }
        let step_m = 1.0 / ahead.abs();
        let window = ((distance_m / step_m) * (1.0 + 1e-12)).min(along as f64) as usize;
        Self { cells: elevation.cells(), places, across, stride_across, step_m, window }
    }

    /// Hands the ground of lines side by side to `reckon`, and the results of each place to `keep` with its cells. Every
    /// cell is kept once.
    pub(super) fn each<S>(
        &self,
        start: impl Fn() -> S + Sync,
        reckon: impl Fn(&mut S, Abreast<'_>, &mut [[f32; LANES]]) + Sync,
        keep: impl Fn(Cells, &[f32]) + Sync,
    ) {
        let sideways = self.places.iter().map(|place| place.sideways);
        let least = -sideways.clone().max().unwrap_or(0);
        let most = self.across as i64 - sideways.min().unwrap_or(0);
        let batches = (most - least).max(0) as usize;
        (0..batches.div_ceil(LANES)).into_par_iter().for_each_init(
            || (start(), Batch::default()),
            |(state, batch), index| {
                batch.read(self, least + (index * LANES) as i64);
                let abreast = Abreast { ground: &batch.ground, places: batch.places(self) };
                reckon(state, abreast, &mut batch.results);
                batch.write(self, &keep);
            },
        );
    }

    /// Ground where the lines pass beside the cells of a place, from the cell `across` on (NaN where there is none).
    #[inline]
    fn ground(&self, place: Place, across: i64, to: &mut [f64; LANES]) {
        let on_grid = self.on_grid::<AROUND>(across - 1);
        let from = self.cell(place, across - 1, on_grid.start);
        if self.stride_across == 1
            && on_grid.len() == AROUND
            && let Some(cells) = self.cells[from..].first_chunk()
        {
            return place.ground(cells, to);
        }
        let mut cells = [f32::NAN; AROUND];
        let column = self.cells[from..].iter().step_by(self.stride_across);
        cells[on_grid].iter_mut().zip(column).for_each(|(to, cell)| *to = *cell);
        place.ground(&cells, to);
    }

    /// Which of `N` cells of a place from the cell `across` on are on the grid.
    #[inline]
    fn on_grid<const N: usize>(&self, across: i64) -> Range<usize> {
        let from = (-across).clamp(0, N as i64) as usize;
        let to = (self.across as i64 - across).clamp(from as i64, N as i64) as usize;
        from..to
    }

    /// Position of a cell of a place, counted from the cell `across`. Off the grid it is any number.
    #[inline]
    fn cell(&self, place: Place, across: i64, lane: usize) -> usize {
        let across = (across + lane as i64).max(0) as usize;
        (place.first + across * self.stride_across).min(self.cells.len())
    }
}

/// A drift that is all but a whole cell is one.
fn snapped(drift: f64) -> f64 {
    if (drift - drift.round()).abs() < 1e-9 { drift.round() } else { drift }
}

/// To a multiple of 2⁻²⁰ m, so that differences times steps are exact; NaN when not finite.
#[inline]
fn to_micrometres(metres: f64) -> f64 {
    const ROUNDING: f64 = 1.5 * (1_u64 << 32) as f64;
    let hole = 0.0 * metres;
    (metres + ROUNDING) - ROUNDING + hole
}

/// Lines side by side, from their far ends: their ground at each place that they pass.
#[derive(Clone, Copy)]
pub(super) struct Abreast<'a> {
    pub(super) ground: &'a [[f64; LANES]],
    pub(super) places: &'a [Place],
}

/// Neighbouring lines.
#[derive(Default)]
struct Batch {
    /// First line.
    line: i64,
    /// First place where any of the lines is on the grid.
    from: usize,
    ground: Vec<[f64; LANES]>,
    results: Vec<[f32; LANES]>,
}

impl Batch {
    fn read(&mut self, lines: &Lines<'_>, line: i64) {
        self.line = line;
        let reach = 1 - LANES as i64..lines.across as i64;
        let on_grid = |place: &Place| reach.contains(&(line + place.sideways));
        self.from = lines.places.iter().position(on_grid).unwrap_or(0);
        let end = lines.places.iter().rposition(on_grid).map_or(0, |last| last + 1);
        let count = end.saturating_sub(self.from);
        self.ground.resize(count, [f64::NAN; LANES]);
        self.results.resize(count, [0.0; LANES]);
        for (to, place) in self.ground.iter_mut().zip(&lines.places[self.from..]) {
            lines.ground(*place, line + place.sideways, to);
        }
    }

    /// The places that the lines pass.
    fn places<'a>(&self, lines: &'a Lines<'_>) -> &'a [Place] {
        &lines.places[self.from..self.from + self.ground.len()]
    }

    fn write(&self, lines: &Lines<'_>, keep: &impl Fn(Cells, &[f32])) {
        for (results, place) in self.results.iter().zip(self.places(lines)) {
            let across = self.line + place.sideways;
            let on_grid = lines.on_grid::<LANES>(across);
            let first = lines.cell(*place, across, on_grid.start);
            keep((first..).step_by(lines.stride_across), &results[on_grid]);
        }
    }
}
