//! Streams where enough ground drains to a cell, for when no stream layer is given.

use crate::flow::steepest_receivers;
use crate::{Grid, GridError, Raster, Routing, flow_area_m2};

/// One reach of a derived stream, from a source or a confluence to the next confluence or the end.
#[derive(Debug, Clone, PartialEq)]
pub struct StreamLine {
    /// Cell centres on the map (easting, northing, metres), downstream. The last is the confluence
    /// that the reach runs into, or where the stream leaves the ground. One point alone where it
    /// leaves the ground in the very cell that it starts in; such a reach has no length.
    pub points: Vec<(f64, f64)>,
    /// Strahler order: 1 from a source; one more where two of the same order meet; else the higher.
    pub order: u8,
    /// Map area drained at the end of the reach, before the confluence, square metres.
    pub area_m2: f64,
}

/// Cells through which the water of at least `threshold_m2` of map area passes.
///
/// A derived stream is a guess from the shape of the ground: where streams are mapped or walked,
/// use those. Which threshold fits depends on rain and rock; one to ten hectares is common
/// practice in hill country, no source.
///
/// # Units
/// Square metres both: `flow_area_d8` is [`flow_area_m2`] by [`Routing::SteepestDescent`].
/// Holes are no stream.
///
/// # Errors
/// [`GridError::Setting`] when the threshold is not above 0 and finite.
///
/// ```
/// use terrain::{Grid, Raster, stream_cells};
/// let area = Raster::new(Grid::new(3, 1, 0.0, 0.0, 1.0, 1.0)?, vec![4.0, 5.0, f32::NAN])?;
/// assert_eq!(stream_cells(&area, 5.0)?.cells(), &[false, true, false]);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// O'Callaghan & Mark 1984, The extraction of drainage networks from digital elevation data.
pub fn stream_cells(
    flow_area_d8: &Raster<f32>,
    threshold_m2: f64,
) -> Result<Raster<bool>, GridError> {
    if !(threshold_m2 > 0.0 && threshold_m2.is_finite()) {
        let expected = "square metres above 0";
        return Err(GridError::Setting { what: "stream threshold", value: threshold_m2, expected });
    }
    Ok(flow_area_d8.map(|area| f64::from(*area) >= threshold_m2))
}

/// Stream lines through the cells of [`stream_cells`], with their order and the area they drain.
///
/// In the order of the cells they start in, row by row from the north-west: the same whatever the
/// number of threads.
///
/// # Units
/// Elevation in metres, hollows filled (a stream ends in a hollow that is not); square metres; map
/// coordinates as the grid's.
///
/// # Errors
/// [`GridError::Setting`] when the threshold is not above 0 and finite.
///
/// # Cost
/// That of the flow area, one more pass over the cells, and n log n in the number of lines.
///
/// ```
/// use terrain::{Grid, Raster, stream_lines};
/// let grid = Grid::new(4, 1, 0.0, 10.0, 10.0, 10.0)?;
/// let ramp = Raster::new(grid, vec![4.0, 3.0, 2.0, 1.0])?;
/// let lines = stream_lines(&ramp, 200.0)?;
/// assert_eq!(lines[0].points, [(15.0, 5.0), (25.0, 5.0), (35.0, 5.0)]);
/// assert_eq!((lines[0].order, lines[0].area_m2), (1, 400.0));
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Strahler 1957, Quantitative analysis of watershed geomorphology (orders).
pub fn stream_lines(
    elevation_filled: &Raster<f32>,
    threshold_m2: f64,
) -> Result<Vec<StreamLine>, GridError> {
    let area = flow_area_m2(elevation_filled, Routing::SteepestDescent);
    let streams = stream_cells(&area, threshold_m2)?;
    let network = Network::new(elevation_filled, streams);
    let starts = network.starts();
    let reaches: Vec<Reach> =
        starts.iter().map(|&start| network.reach(start, area.cells())).collect();
    let orders = strahler(&starts, &reaches);
    Ok(reaches
        .into_iter()
        .zip(orders)
        .map(|(reach, order)| StreamLine { points: reach.points, order, area_m2: reach.area_m2 })
        .collect())
}

/// Stream cells and where each sends its water.
struct Network {
    grid: Grid,
    streams: Raster<bool>,
    receivers: Vec<u8>,
    /// What to add (wrapping) to a padded position for each direction.
    offsets: [usize; crate::padded::DIRECTIONS],
    /// Stream cells that run into each stream cell.
    donors: Vec<u8>,
}

/// What there is along a reach, and the cell that it runs into.
struct Reach {
    points: Vec<(f64, f64)>,
    area_m2: f64,
    confluence: Option<usize>,
}

impl Network {
    fn new(elevation_filled: &Raster<f32>, streams: Raster<bool>) -> Self {
        let grid = *elevation_filled.grid();
        let (ground, receivers) = steepest_receivers(elevation_filled);
        let donors = vec![0; grid.len()];
        let mut network = Self { grid, streams, receivers, offsets: ground.offsets, donors };
        for cell in 0..grid.len() {
            if network.streams.cells()[cell]
                && let Some(to) = network.receiver(cell)
            {
                network.donors[to] += 1;
            }
        }
        network
    }

    /// The cell that a cell's water runs to.
    fn receiver(&self, cell: usize) -> Option<usize> {
        let (cols, width) = (self.grid.cols(), self.grid.cols() + 2);
        let padded = (cell / cols + 1) * width + cell % cols + 1;
        let receiver = self.receivers[padded];
        (receiver != 0).then(|| {
            let to = padded.wrapping_add(self.offsets[receiver.trailing_zeros() as usize]);
            (to / width - 1) * cols + to % width - 1
        })
    }

    /// Sources and confluences.
    fn starts(&self) -> Vec<usize> {
        let is_start = |cell: &usize| self.streams.cells()[*cell] && self.donors[*cell] != 1;
        (0..self.grid.len()).filter(is_start).collect()
    }

    fn reach(&self, start: usize, area: &[f32]) -> Reach {
        let mut reach = Reach { points: Vec::new(), area_m2: 0.0, confluence: None };
        let mut cell = start;
        loop {
            reach.points.push(self.centre(cell));
            reach.area_m2 = f64::from(area[cell]);
            let Some(next) = self.receiver(cell) else { return reach };
            if self.donors[next] > 1 {
                reach.points.push(self.centre(next));
                reach.confluence = Some(next);
                return reach;
            }
            cell = next;
        }
    }

    fn centre(&self, cell: usize) -> (f64, f64) {
        self.grid.centre(cell / self.grid.cols(), cell % self.grid.cols())
    }
}

/// Order of each reach, sources first and then down.
fn strahler(starts: &[usize], reaches: &[Reach]) -> Vec<u8> {
    let below: Vec<Option<usize>> = reaches
        .iter()
        .map(|reach| reach.confluence.and_then(|cell| starts.binary_search(&cell).ok()))
        .collect();
    let mut waiting = vec![0_u8; reaches.len()];
    for &next in below.iter().flatten() {
        waiting[next] += 1;
    }
    let mut orders = vec![1_u8; reaches.len()];
    // Of the orders that have come in: the highest, and whether it came twice.
    let mut highest = vec![(0_u8, false); reaches.len()];
    let mut ready: Vec<usize> = (0..reaches.len()).filter(|reach| waiting[*reach] == 0).collect();
    while let Some(reach) = ready.pop() {
        let (most, twice) = highest[reach];
        orders[reach] = (most + u8::from(twice)).max(1);
        let Some(next) = below[reach] else { continue };
        highest[next] = joined(highest[next], orders[reach]);
        waiting[next] -= 1;
        if waiting[next] == 0 {
            ready.push(next);
        }
    }
    orders
}

fn joined((most, twice): (u8, bool), order: u8) -> (u8, bool) {
    match order.cmp(&most) {
        std::cmp::Ordering::Less => (most, twice),
        std::cmp::Ordering::Equal => (most, true),
        std::cmp::Ordering::Greater => (order, false),
    }
}
