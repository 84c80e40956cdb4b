//! Between polygons and the cells under them.

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

/// The lattice of a grid, as the partition room knows it.
pub(super) fn lattice_of(grid: &Grid) -> partition::Lattice {
    partition::Lattice {
        cols: grid.cols() as u32,
        rows: grid.rows() as u32,
        west: grid.west(),
        north: grid.north(),
        cell_width: grid.cell_width(),
        cell_height: grid.cell_height(),
    }
}

/// The exact share of every cell that a polygon covers, in grid order.
#[must_use]
pub fn cell_shares(area: &MultiPolygon<f64>, grid: &Grid) -> Vec<CellShare> {
    let spans = partition::cell_fractions(&to_partition(area), &lattice_of(grid));
    let cells = |span: partition::Span| {
        let first = grid.index(span.row as usize, span.first_col as usize) as u32;
        (first..first + span.cols).map(move |at| CellShare { at, share: span.fraction as f32 })
    };
    spans.into_iter().flat_map(cells).collect()
}

/// The cells of which a polygon covers at least half, in grid order.
pub(crate) fn cells_mostly_in(area: &MultiPolygon<f64>, grid: &Grid) -> Vec<usize> {
    let shares = cell_shares(area, grid);
    shares.into_iter().filter(|cell| cell.share >= 0.5).map(|cell| cell.at as usize).collect()
}

/// Polygons as the partition room takes them.
pub(super) fn to_partition(area: &MultiPolygon<f64>) -> Vec<partition::Polygon> {
    let ring = |ring: &LineString<f64>| ring.coords().map(|point| [point.x, point.y]).collect();
    area.iter()
        .map(|polygon| partition::Polygon {
            shell: ring(polygon.exterior()),
            holes: polygon.interiors().iter().map(ring).collect(),
        })
        .collect()
}

/// Polygons as the rest of the house takes them.
pub(super) fn from_partition(polygons: &[partition::Polygon]) -> MultiPolygon<f64> {
    let ring = |ring: &Vec<[f64; 2]>| LineString::from(ring.clone());
    let one = |polygon: &partition::Polygon| {
        Polygon::new(ring(&polygon.shell), polygon.holes.iter().map(ring).collect())
    };
    MultiPolygon::new(polygons.iter().map(one).collect())
}
