//! Between polygons and the cells under them.

use std::ops::Range;

use geo::{LineString, MultiPolygon, Polygon};
use terrain::Grid;

/// A cell of a polygon and the share of the cell that it covers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellShare {
    /// Position in the grid, row by row.
    pub at: u32,
    /// Share covered, above 0 to 1.
    pub share: f32,
}

/// The cells of a polygon in grid order, each with the share of it that the polygon covers.
///
/// Memory: 12 bytes for each run of neighbours in a row with equal shares; nearly all cells lie in
/// runs of whole ones.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CellShares {
    runs: Vec<Run>,
}

/// Neighbouring cells of a row, each covered by the same share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Run {
    first: u32,
    cells: u32,
    pub(crate) share: f32,
}

impl Run {
    /// Positions in the grid.
    pub(crate) fn cells(self) -> Range<usize> {
        self.first as usize..(self.first + self.cells) as usize
    }

    /// Its first cells, so many of them, and the rest.
    pub(crate) fn split_at(self, cells: usize) -> (Self, Self) {
        let head = self.cells.min(cells as u32);
        let rest = Self { first: self.first + head, cells: self.cells - head, ..self };
        (Self { cells: head, ..self }, rest)
    }
}

impl CellShares {
    /// Every cell of a grid, whole.
    pub(crate) fn whole(grid: &Grid) -> Self {
        let row = |row: usize| Run {
            first: grid.index(row, 0) as u32,
            cells: grid.cols() as u32,
            share: 1.0,
        };
        Self { runs: (0..grid.rows()).map(row).collect() }
    }

    /// Each cell.
    pub fn iter(&self) -> impl Iterator<Item = CellShare> {
        let of =
            |run: Run| run.cells().map(move |at| CellShare { at: at as u32, share: run.share });
        self.runs.iter().copied().flat_map(of)
    }

    pub(crate) fn runs(&self) -> &[Run] {
        &self.runs
    }
}

/// The lattice of a grid, as the partition room knows it.
pub(crate) fn lattice_of(grid: &Grid) -> partition::Lattice {
    partition::Lattice {
        cols: grid.cols() as u32,
        rows: grid.rows() as u32,
        west: grid.west(),
        north: grid.north(),
        cell_width: grid.cell_width(),
        cell_height: grid.cell_height(),
    }
}

/// The exact share of every cell that a polygon covers.
#[must_use]
pub fn cell_shares(area: &MultiPolygon<f64>, grid: &Grid) -> CellShares {
    let run = |span: partition::Span| Run {
        first: grid.index(span.row as usize, span.first_col as usize) as u32,
        cells: span.cols,
        share: span.fraction as f32,
    };
    CellShares { runs: spans(area, grid).map(run).collect() }
}

/// The cells of which a polygon covers at least half, in grid order, as runs.
pub(crate) fn runs_mostly_in(
    area: &MultiPolygon<f64>,
    grid: &Grid,
) -> impl Iterator<Item = Range<usize>> {
    let cells = |span: partition::Span| {
        let first = grid.index(span.row as usize, span.first_col as usize);
        first..first + span.cols as usize
    };
    spans(area, grid).filter(|span| span.fraction >= 0.5).map(cells)
}

fn spans(area: &MultiPolygon<f64>, grid: &Grid) -> impl Iterator<Item = partition::Span> {
    partition::cell_fractions(&to_partition(area), &lattice_of(grid)).into_iter()
}

/// Polygons as the partition room takes them.
pub(crate) fn to_partition(area: &MultiPolygon<f64>) -> Vec<partition::Polygon> {
    let ring = |ring: &LineString<f64>| ring.coords().map(|point| [point.x, point.y]).collect();
    area.iter()
        .map(|polygon| partition::Polygon {
            shell: ring(polygon.exterior()),
            holes: polygon.interiors().iter().map(ring).collect(),
        })
        .collect()
}

/// Polygons as the rest of the house takes them.
pub(crate) fn from_partition(polygons: &[partition::Polygon]) -> MultiPolygon<f64> {
    let ring = |ring: &Vec<[f64; 2]>| LineString::from(ring.clone());
    let one = |polygon: &partition::Polygon| {
        Polygon::new(ring(&polygon.shell), polygon.holes.iter().map(ring).collect())
    };
    MultiPolygon::new(polygons.iter().map(one).collect())
}
