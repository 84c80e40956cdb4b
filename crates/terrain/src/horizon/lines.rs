//! Parallel lines over a grid in one direction, on which every cell lies exactly once.

use rayon::prelude::*;

use crate::Raster;

/// Lines taken together, so that neighbouring cells of a row are read and written together.
const BATCH: usize = 32;

/// A place between whole cells where no survey puts its corner: counting from there, a grid and a
/// part cut from it number their cells alike in spite of rounding.
const ODD_PLACE: f64 = 0.381_966;

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

    /// Hands each line's ground to `reckon`, from the far end to the near (NaN for holes), and each result to
    /// `keep` with its cell. Every cell is kept once.
    pub(super) fn each<S>(
        &self,
        start: impl Fn() -> S + Sync,
        reckon: impl Fn(&mut S, Stretch<'_>, &mut [f32]) + Sync,
        keep: impl Fn(usize, f32) + Sync,
    ) {
        let sideways = self.places.iter().map(|place| place.sideways);
        let least = -sideways.clone().max().unwrap_or(0);
        let most = self.across as i64 - sideways.min().unwrap_or(0);
        let batches = (most - least).max(0) as usize;
        (0..batches.div_ceil(BATCH)).into_par_iter().for_each_init(
            || (start(), Batch::default()),
            |(state, batch), index| {
                batch.read(self, least + (index * BATCH) as i64);
                batch.reckon(self, state, &reckon);
                batch.write(self, &keep);
            },
        );
    }

    /// Ground where the line passes beside a cell.
    #[inline]
    fn ground(&self, place: Place, across: usize) -> f64 {
        let cell = place.first + across * self.stride_across;
        let here = f64::from(self.cells[cell]);
        if place.beside == 0.0 || !here.is_finite() {
            return to_micrometres(here);
        }
        let next = if place.beside < 0.0 {
            across.checked_sub(1).map(|_| cell - self.stride_across)
        } else {
            (across + 1 < self.across).then_some(cell + self.stride_across)
        };
        let next = next.map_or(f64::NAN, |next| f64::from(self.cells[next]));
        let between = here + (next - here) * place.beside.abs();
        to_micrometres(if next.is_finite() { between } else { here })
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

/// A line's ground from its far end, and the places that it passes.
#[derive(Clone, Copy)]
pub(super) struct Stretch<'a> {
    pub(super) ground: &'a [f64],
    pub(super) places: &'a [Place],
}

/// Neighbouring lines, one after the other.
#[derive(Default)]
struct Batch {
    /// First line.
    line: i64,
    /// First place and count of places where any of the lines is on the grid.
    from: usize,
    count: usize,
    ground: Vec<f64>,
    results: Vec<f32>,
}

impl Batch {
    fn read(&mut self, lines: &Lines<'_>, line: i64) {
        self.line = line;
        let reach = 1 - BATCH as i64..lines.across as i64;
        let on_grid = |place: &Place| reach.contains(&(line + place.sideways));
        self.from = lines.places.iter().position(on_grid).unwrap_or(0);
        let end = lines.places.iter().rposition(on_grid).map_or(0, |last| last + 1);
        self.count = end.saturating_sub(self.from);
        self.ground.clear();
        self.ground.resize(BATCH * self.count, f64::NAN);
        self.results.resize(BATCH * self.count, 0.0);
        let mut ground = std::mem::take(&mut self.ground);
        self.each_cell(lines, |spot, place, across| ground[spot] = lines.ground(place, across));
        self.ground = ground;
    }

    fn reckon<S>(
        &mut self,
        lines: &Lines<'_>,
        state: &mut S,
        reckon: &impl Fn(&mut S, Stretch<'_>, &mut [f32]),
    ) {
        let places = &lines.places[self.from..self.from + self.count];
        let each = self.ground.chunks(self.count.max(1));
        for (ground, results) in each.zip(self.results.chunks_mut(self.count.max(1))) {
            reckon(state, Stretch { ground, places }, results);
        }
    }

    fn write(&self, lines: &Lines<'_>, keep: &impl Fn(usize, f32)) {
        self.each_cell(lines, |spot, place, across| {
            keep(place.first + across * lines.stride_across, self.results[spot]);
        });
    }

    /// Each cell of the batch, in the order of memory: spot in the batch, place, cell across.
    fn each_cell(&self, lines: &Lines<'_>, mut visit: impl FnMut(usize, Place, usize)) {
        let places = &lines.places[self.from..self.from + self.count];
        let across = |place: &Place, line: usize| {
            let across = self.line + line as i64 + place.sideways;
            (0..lines.across as i64).contains(&across).then_some(across as usize)
        };
        if lines.stride_across == 1 {
            for (along, place) in places.iter().enumerate() {
                for line in 0..BATCH {
                    if let Some(across) = across(place, line) {
                        visit(line * self.count + along, *place, across);
                    }
                }
            }
        } else {
            for line in 0..BATCH {
                for (along, place) in places.iter().enumerate() {
                    if let Some(across) = across(place, line) {
                        visit(line * self.count + along, *place, across);
                    }
                }
            }
        }
    }
}
