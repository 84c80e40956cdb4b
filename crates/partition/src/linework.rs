//! Every line of the input on the precision grid, and what lies on both sides of each.

use crate::arrangement::{Mark, Sides};
use crate::error::PartitionError;
use crate::lattice::{Lattice, trace};
use crate::layers::{Layer, Polygon};
use crate::precision::{Point, PrecisionGrid, steps, turn};
use crate::segment::Segment;
use crate::straighten::straighten;

/// Segments, and for each source that they name what lies on its sides.
#[derive(Default)]
pub(crate) struct Linework {
    pub(crate) segments: Vec<Segment>,
    pub(crate) sides: Vec<Sides>,
}

impl Linework {
    /// Adds the borders between cells of unlike labels, straightened.
    pub(crate) fn add_arcs(
        &mut self,
        labels: &[u32],
        lattice: &Lattice,
        straighten_m: f64,
        grid: &PrecisionGrid,
    ) -> Result<(), PartitionError> {
        let arcs = trace(labels, lattice.cols, lattice.rows);
        let lines = straighten(&arcs, lattice, grid, steps(straighten_m) as i64)
            .ok_or(PartitionError::LatticePosition { corner: [lattice.west, lattice.north] })?;
        for (arc, line) in arcs.iter().zip(&lines) {
            let [left, right] = [arc.left, arc.right].map(|label| Some(Mark::Label(label)));
            self.add(line.path(), Sides { left, right });
        }
        Ok(())
    }

    /// Adds the rings of all layers.
    pub(crate) fn add_layers(
        &mut self,
        layers: &[Layer],
        grid: &PrecisionGrid,
    ) -> Result<(), PartitionError> {
        for (layer, Layer { polygons }) in layers.iter().enumerate() {
            for (position, polygon) in polygons.iter().enumerate() {
                self.add_polygon(polygon, Mark::Layer(layer as u8), grid).map_err(|point| {
                    PartitionError::Position { layer, polygon: position, point }
                })?;
            }
        }
        Ok(())
    }

    /// Adds the rings of a polygon, or names the point of it that is out of reach.
    pub(crate) fn add_polygon(
        &mut self,
        polygon: &Polygon,
        mark: Mark,
        grid: &PrecisionGrid,
    ) -> Result<(), [f64; 2]> {
        let shell = (&polygon.shell, false);
        let holes = polygon.holes.iter().map(|hole| (hole, true));
        for (ring, is_hole) in std::iter::once(shell).chain(holes) {
            let points = snapped(ring, grid)?;
            let closing = points.first().copied();
            let sides = sides_of(&points, is_hole, mark);
            self.add(points.into_iter().chain(closing), sides);
        }
        Ok(())
    }

    /// Adds a line with nothing on either side, or names the point of it that is out of reach.
    pub(crate) fn add_line(
        &mut self,
        line: &[[f64; 2]],
        grid: &PrecisionGrid,
    ) -> Result<(), [f64; 2]> {
        self.add(snapped(line, grid)?, Sides { left: None, right: None });
        Ok(())
    }

    /// Adds a path, without its standstills.
    fn add(&mut self, path: impl IntoIterator<Item = Point>, sides: Sides) {
        let source = self.sides.len() as u32;
        self.sides.push(sides);
        let mut path = path.into_iter();
        let Some(mut from) = path.next() else { return };
        for to in path {
            if to != from {
                self.segments.push(Segment { from, to, source });
            }
            from = to;
        }
    }
}

fn snapped(line: &[[f64; 2]], grid: &PrecisionGrid) -> Result<Vec<Point>, [f64; 2]> {
    line.iter().map(|&point| grid.snap(point).ok_or(point)).collect()
}

/// A shell has its mark on the inside, a hole on the outside, whichever way they run.
fn sides_of(ring: &[Point], is_hole: bool, mark: Mark) -> Sides {
    let origin = ring.first().copied().unwrap_or(Point { x: 0, y: 0 });
    let doubled: i128 = ring.windows(2).map(|w| i128::from(turn(origin, w[0], w[1]))).sum();
    if (doubled < 0) == is_hole {
        Sides { left: Some(mark), right: None }
    } else {
        Sides { left: None, right: Some(mark) }
    }
}
