//! The ground of one block, on a lattice finer than its plants stand.

use terrain::{Grid, Raster};

use crate::Outline;

/// Beyond this a refined lattice is left coarser than asked for: memory.
const MOST_CELLS: usize = 100_000_000;

/// The ground of a block: heights, plants asked for, and the exact border.
#[derive(Debug, Clone)]
pub struct Face {
    grid: Grid,
    /// Metres, at the centres of cells; known everywhere.
    heights: Vec<f32>,
    /// Plants a square metre of map.
    plants_a_m2: Vec<f32>,
    /// How cells lie to the border.
    within: Vec<Within>,
    /// Cosine of the slope, by cell.
    cosines: Vec<f32>,
    outline: Outline,
}

/// How a cell lies to a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Within {
    /// Its centre and those of its neighbours are without.
    No,
    /// It touches the block, or is beside one that does.
    Border,
    /// All of it is within.
    Whole,
}

impl Face {
    /// Ground on a lattice whose cells are at most half a spacing wide.
    ///
    /// # Units
    /// Heights in metres, holes NaN (each takes the height of the nearest known cell of its row or
    /// column; 0 where none is known). Plants a square metre of map, on the grid of the heights; 0
    /// where none may stand. The grid should reach two cells beyond the outline.
    ///
    /// # Errors
    /// When the two rasters lie on different grids.
    pub fn new(
        heights_m: &Raster<f32>,
        plants_a_m2: &Raster<f32>,
        outline: Outline,
        spacing_m: f64,
    ) -> Result<Self, terrain::GridError> {
        heights_m.same_grid(plants_a_m2)?;
        let coarse = *heights_m.grid();
        let known = known(heights_m);
        let side = coarse.cell_width().max(coarse.cell_height());
        let wanted = (2.0 * side / spacing_m).ceil().clamp(1.0, 64.0) as usize;
        let times = (1..=wanted).rev().find(|times| coarse.len() * times * times <= MOST_CELLS);
        let times = times.unwrap_or(1);
        let grid = Grid::new(
            coarse.cols() * times,
            coarse.rows() * times,
            coarse.west(),
            coarse.north(),
            coarse.cell_width() / times as f64,
            coarse.cell_height() / times as f64,
        )?;
        let heights = if times == 1 { known } else { refined(&known, &coarse, &grid) };
        let cells = plants_a_m2.cells();
        let plants = (0..grid.rows()).flat_map(|row| {
            let from = &cells[row / times * coarse.cols()..][..coarse.cols()];
            (0..grid.cols()).map(move |col| from[col / times])
        });
        let plants = plants.map(|plants| if plants > 0.0 { plants } else { 0.0 }).collect();
        let within = within(&outline, &grid);
        let cosines = cosines(&heights, &grid);
        Ok(Self { grid, heights, plants_a_m2: plants, within, cosines, outline })
    }

    pub(crate) fn grid(&self) -> &Grid {
        &self.grid
    }

    pub(crate) fn heights(&self) -> &[f32] {
        &self.heights
    }

    pub(crate) fn within(&self) -> &[Within] {
        &self.within
    }

    pub(crate) fn cosines(&self) -> &[f32] {
        &self.cosines
    }

    /// Position of the cell under a point of the grid.
    fn cell(&self, [x, y]: [f64; 2]) -> Option<usize> {
        self.grid.cell_at(x, y).map(|(row, col)| self.grid.index(row, col))
    }

    /// Plants a square metre of map at a point: 0 without the block and where none may stand.
    pub(crate) fn plants_at(&self, at: [f64; 2]) -> f64 {
        self.cell(at).map_or(0.0, |cell| self.plants_in(cell, at))
    }

    /// The same a square metre of ground.
    pub(crate) fn plants_on_ground_at(&self, at: [f64; 2]) -> f64 {
        let Some(cell) = self.cell(at) else { return 0.0 };
        self.plants_in(cell, at) * f64::from(self.cosines[cell])
    }

    fn plants_in(&self, cell: usize, at: [f64; 2]) -> f64 {
        let plants = f64::from(self.plants_a_m2[cell]);
        let inside = plants > 0.0
            && match self.within[cell] {
                Within::No => false,
                Within::Whole => true,
                Within::Border => self.outline.contains(at),
            };
        if inside { plants } else { 0.0 }
    }

    /// Plants that each cell would ask for if all of it were within: 0 for cells without.
    pub(crate) fn most_plants_of_cells(&self) -> impl Iterator<Item = f64> + Clone {
        let area = self.grid.cell_area();
        let cells = self.within.iter().zip(&self.plants_a_m2);
        cells.map(move |(within, plants)| match within {
            Within::No => 0.0,
            _ => f64::from(*plants) * area,
        })
    }

    /// Cells that touch the block and ask for plants.
    pub(crate) fn open_cells(&self) -> impl Iterator<Item = usize> {
        (0..self.grid.len())
            .filter(|cell| self.within[*cell] != Within::No && self.plants_a_m2[*cell] > 0.0)
    }

    /// Map area that asks for plants, square metres: of border cells those whose centre is within.
    pub(crate) fn open_m2(&self) -> f64 {
        let open = self.open_cells().filter(|cell| self.plants_at(self.centre(*cell)) > 0.0);
        open.count() as f64 * self.grid.cell_area()
    }

    pub(crate) fn centre(&self, cell: usize) -> [f64; 2] {
        let (x, y) = self.grid.centre(cell / self.grid.cols(), cell % self.grid.cols());
        [x, y]
    }

    /// Height at a point, between the four nearest centres, metres.
    pub(crate) fn height(&self, [x, y]: [f64; 2]) -> f64 {
        let east = (x - self.grid.west()) / self.grid.cell_width() - 0.5;
        let south = (self.grid.north() - y) / self.grid.cell_height() - 0.5;
        bilinear(&self.heights, self.grid.cols(), self.grid.rows(), east, south)
    }
}

/// A value between the centres of cells, at columns and rows counted from the first centre.
fn bilinear(cells: &[f32], cols: usize, rows: usize, east: f64, south: f64) -> f64 {
    let (east, south) = (east.clamp(0.0, (cols - 1) as f64), south.clamp(0.0, (rows - 1) as f64));
    let (col, row) = (east as usize, south as usize);
    let (right, below) = ((col + 1).min(cols - 1), (row + 1).min(rows - 1));
    let (across, down) = (east - col as f64, south - row as f64);
    let at = |row: usize, col: usize| f64::from(cells[row * cols + col]);
    let upper = at(row, col) + (at(row, right) - at(row, col)) * across;
    let lower = at(below, col) + (at(below, right) - at(below, col)) * across;
    upper + (lower - upper) * down
}

/// Cosine of the slope at every cell, from the cells beside it.
fn cosines(heights: &[f32], grid: &Grid) -> Vec<f32> {
    let (cols, rows) = (grid.cols(), grid.rows());
    let mut found = Vec::with_capacity(heights.len());
    for row in 0..rows {
        let line = |row: usize| &heights[row * cols..(row + 1) * cols];
        let (above, below) = (row.saturating_sub(1), (row + 1).min(rows - 1));
        let down_run = ((below - above).max(1) as f64 * grid.cell_height()) as f32;
        let (north, here, south) = (line(above), line(row), line(below));
        for col in 0..cols {
            let (west, east) = (col.saturating_sub(1), (col + 1).min(cols - 1));
            let across_run = (east - west).max(1) as f32 * grid.cell_width() as f32;
            let across = (here[east] - here[west]) / across_run;
            let down = (south[col] - north[col]) / down_run;
            found.push((1.0 + across * across + down * down).sqrt().recip());
        }
    }
    found
}

fn refined(heights: &[f32], coarse: &Grid, fine: &Grid) -> Vec<f32> {
    let [across, down] =
        [coarse.cols() as f64 / fine.cols() as f64, coarse.rows() as f64 / fine.rows() as f64];
    let mut found = Vec::with_capacity(fine.len());
    for row in 0..fine.rows() {
        let south = (row as f64 + 0.5) * down - 0.5;
        found.extend((0..fine.cols()).map(|col| {
            let east = (col as f64 + 0.5) * across - 0.5;
            bilinear(heights, coarse.cols(), coarse.rows(), east, south) as f32
        }));
    }
    found
}

/// Heights with every hole given the height of a cell beside it, from the known ones outward.
fn known(heights: &Raster<f32>) -> Vec<f32> {
    let mut cells = heights.cells().to_vec();
    let cols = heights.grid().cols();
    let is_known = |height: f32| height.is_finite();
    if cells.iter().all(|height| is_known(*height)) {
        return cells;
    }
    let mut edge: Vec<usize> = (0..cells.len()).filter(|at| is_known(cells[*at])).collect();
    if edge.is_empty() {
        return vec![0.0; cells.len()];
    }
    while !edge.is_empty() {
        let mut next = Vec::new();
        for at in edge {
            let col = at % cols;
            let beside = [
                at.checked_sub(cols),
                Some(at + cols).filter(|at| *at < cells.len()),
                (col > 0).then(|| at - 1),
                (col + 1 < cols).then(|| at + 1),
            ];
            for to in beside.into_iter().flatten() {
                if !is_known(cells[to]) {
                    cells[to] = cells[at];
                    next.push(to);
                }
            }
        }
        edge = next;
    }
    cells
}

/// How every cell lies to an outline: whole where its four corners and all that is between are
/// within, told from the crossings of lines along both its edges and through its middle.
fn within(outline: &Outline, grid: &Grid) -> Vec<Within> {
    let (cols, rows) = (grid.cols(), grid.rows());
    // Cells that some edge of the outline touches, and cells whose centre is within.
    let mut touched = vec![false; grid.len()];
    outline.mark_edges(grid, &mut touched);
    let mut found = vec![Within::No; grid.len()];
    for row in 0..rows {
        let y = grid.centre(row, 0).1;
        for pair in outline.crossings(y).chunks_exact(2) {
            let first =
                ((pair[0] - grid.west()) / grid.cell_width() - 0.5).ceil().max(0.0) as usize;
            let end = (pair[1] - grid.west()) / grid.cell_width() - 0.5;
            let end = if end < 0.0 { 0 } else { (end.floor() as usize + 1).min(cols) };
            if first < end {
                found[row * cols + first..row * cols + end].fill(Within::Whole);
            }
        }
    }
    for (within, touched) in found.iter_mut().zip(&touched) {
        if *touched {
            *within = Within::Border;
        }
    }
    // A ring of cells around, so that rows run over the border and end beyond it.
    let inner: Vec<bool> = found.iter().map(|within| *within != Within::No).collect();
    for row in 0..rows {
        for col in 0..cols {
            let at = row * cols + col;
            if !inner[at] {
                let near = (row.saturating_sub(1)..=(row + 1).min(rows - 1)).any(|row| {
                    (col.saturating_sub(1)..=(col + 1).min(cols - 1))
                        .any(|col| inner[row * cols + col])
                });
                if near {
                    found[at] = Within::Border;
                }
            }
        }
    }
    found
}

#[cfg(test)]
mod tests;
