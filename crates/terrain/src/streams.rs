//! Drainage lines, where enough ground drains through a cell.

use crate::flow::steepest_receivers;
use crate::padded::Padded;
use crate::{Grid, Raster, Routing, flow_area_m2};

/// 1 where at least `from_m2` of map drains through a cell, 0 elsewhere.
///
/// # Units
/// Square metres; `flow_area_m2` by [`Routing::SteepestDescent`], so that lines do not break.
#[must_use]
pub fn stream_cells(flow_area_m2: &Raster<f32>, from_m2: f64) -> Raster<u8> {
    flow_area_m2.map(|area| u8::from(f64::from(*area) >= from_m2))
}

/// A drainage line from its source, or from where two meet, to the next meeting or to its end.
#[derive(Debug, Clone, PartialEq)]
pub struct StreamLine {
    /// Easting and northing of the cells' centres, downstream, metres; two or more.
    pub points: Vec<(f64, f64)>,
    /// 1 from a source; one more than both where two of an order meet.
    pub order: u8,
    /// Map area that drains through the last cell before the line meets another, or through its end.
    pub area_m2: f64,
}

/// Drainage lines of filled ground, each drawn once, in the order of their first cells from the
/// north-west.
///
/// # Units
/// `elevation_filled` in metres, as [`fill_hollows`](crate::fill_hollows) gives it; `from_m2` of map.
///
/// # Cost
/// That of [`flow_area_m2`] by steepest descent, and a sort of the cells on lines.
///
/// ```
/// use terrain::{Grid, Raster, stream_lines};
/// let grid = Grid::new(3, 4, 0.0, 40.0, 10.0, 10.0)?;
/// let valley = Raster::from_fn(grid, |row, col| 10.0 * col.abs_diff(1) as f32 - row as f32);
/// let lines = stream_lines(&valley, 500.0);
/// assert_eq!(lines.len(), 1);
/// assert_eq!(lines[0].points, [(15.0, 25.0), (15.0, 15.0), (15.0, 5.0)]);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// O'Callaghan & Mark 1984, The extraction of drainage networks from digital elevation data;
/// Strahler 1957, Quantitative analysis of watershed geomorphology (orders).
#[must_use]
pub fn stream_lines(elevation_filled: &Raster<f32>, from_m2: f64) -> Vec<StreamLine> {
    let area = flow_area_m2(elevation_filled, Routing::SteepestDescent);
    let (ground, receivers) = steepest_receivers(elevation_filled);
    let network = Network::new(&area, from_m2, &ground, &receivers);
    let starts = network.cells.iter().filter(|cell| network.donors(**cell) != 1);
    starts.filter_map(|start| network.line(*start)).collect()
}

/// The cells on lines, in padded positions.
struct Network<'a> {
    grid: Grid,
    area: &'a Raster<f32>,
    ground: &'a Padded,
    receivers: &'a [u8],
    /// In the order of their positions.
    cells: Vec<usize>,
    /// Number of donors on lines, and Strahler order, for each of `cells`.
    donors: Vec<u8>,
    orders: Vec<u8>,
}

impl<'a> Network<'a> {
    fn new(area: &'a Raster<f32>, from_m2: f64, ground: &'a Padded, receivers: &'a [u8]) -> Self {
        let grid = *area.grid();
        let padded = |at: usize| (at / grid.cols() + 1) * ground.width + at % grid.cols() + 1;
        let on_line = area.cells().iter().enumerate();
        let on_line = on_line.filter(|(_, area)| f64::from(**area) >= from_m2);
        let cells: Vec<usize> = on_line.map(|(at, _)| padded(at)).collect();
        let (donors, orders) = (vec![0; cells.len()], vec![1; cells.len()]);
        let mut network = Self { grid, area, ground, receivers, cells, donors, orders };
        network.set_orders();
        network
    }

    /// From the smallest area to the largest, so that each cell comes after its donors.
    fn set_orders(&mut self) {
        let mut places: Vec<usize> = (0..self.cells.len()).collect();
        places
            .sort_by(|a, b| self.area_at(self.cells[*a]).total_cmp(&self.area_at(self.cells[*b])));
        let mut alike = vec![0_u8; self.cells.len()]; // donors of the highest order so far
        for place in places {
            let order = self.orders[place];
            let Some(to) = self.receiver(self.cells[place]).and_then(|to| self.place(to)) else {
                continue;
            };
            let first = self.donors[to] == 0;
            self.donors[to] += 1;
            if first || order > self.orders[to] {
                (self.orders[to], alike[to]) = (order, 1);
            } else if order == self.orders[to] {
                alike[to] += 1;
                if alike[to] == 2 {
                    (self.orders[to], alike[to]) = (order + 1, 0);
                }
            }
        }
    }

    fn place(&self, cell: usize) -> Option<usize> {
        self.cells.binary_search(&cell).ok()
    }

    fn donors(&self, cell: usize) -> u8 {
        self.place(cell).map_or(0, |place| self.donors[place])
    }

    fn receiver(&self, cell: usize) -> Option<usize> {
        let direction = self.receivers[cell].trailing_zeros() as usize;
        self.ground.offsets.get(direction).map(|offset| cell.wrapping_add(*offset))
    }

    fn row_and_col(&self, cell: usize) -> (usize, usize) {
        (cell / self.ground.width - 1, cell % self.ground.width - 1)
    }

    fn area_at(&self, cell: usize) -> f32 {
        let (row, col) = self.row_and_col(cell);
        self.area.at(row, col)
    }

    /// The line that begins at a cell; `None` when it ends there too.
    fn line(&self, start: usize) -> Option<StreamLine> {
        let centre = |cell| {
            let (row, col) = self.row_and_col(cell);
            self.grid.centre(row, col)
        };
        let (mut last, mut points) = (start, vec![centre(start)]);
        while let Some(next) = self.receiver(last) {
            points.push(centre(next));
            if self.donors(next) != 1 {
                break;
            }
            last = next;
        }
        let order = self.place(start).map_or(1, |place| self.orders[place]);
        let area_m2 = f64::from(self.area_at(last));
        (points.len() > 1).then_some(StreamLine { points, order, area_m2 })
    }
}
