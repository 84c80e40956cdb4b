//! The way from labelled cells and surveyed layers to pieces.

use crate::arrangement::{Arrangement, Mark, Sides};
use crate::dissolve::{Border, Dissolved, Piece};
use crate::faces::Faces;
use crate::labelling::covers;
use crate::lattice::{Lattice, trace};
use crate::layers::{Layer, LayerSet, MOST_LAYERS, rings};
use crate::noding::node;
use crate::precision::{Point, PrecisionGrid, steps};
use crate::segment::Segment;
use crate::slivers::{SliverRule, hand_over};
use crate::straighten::straighten;

/// Ground parted into pieces that share their borders exactly.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Partition {
    /// The pieces, by key.
    pub pieces: Vec<Piece>,
    /// The length of border between each two keys, in order.
    pub borders: Vec<Border>,
}

/// Why there is no partition.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PartitionError {
    /// The labels do not fill the lattice.
    #[error("found {found} labels for a lattice of {expected} cells: pass one for each cell")]
    LabelCount {
        /// The number of labels.
        found: usize,
        /// The number of cells.
        expected: usize,
    },
    /// Width or height of a cell is below the 1 cm that the precision grid can tell apart.
    #[error("a cell is {cell_width} m by {cell_height} m: both sides must be at least 0.01 m")]
    CellSize {
        /// Extent from west to east, in metres.
        cell_width: f64,
        /// Extent from north to south, in metres.
        cell_height: f64,
    },
    /// The lattice does not lie where the precision grid reaches.
    #[error(
        "the lattice with its corner at {corner:?} m reaches beyond 500 km, or is not a number"
    )]
    LatticePosition {
        /// Its north-western corner, in metres.
        corner: [f64; 2],
    },
    /// The tolerance is negative, huge, or not a number.
    #[error("the straightening tolerance is {found} m: pass 0 to 100,000")]
    Tolerance {
        /// The tolerance, in metres.
        found: f64,
    },
    /// More layers than a [`LayerSet`] holds.
    #[error("found {found} layers: pass at most 64, for instance by joining those of one meaning")]
    TooManyLayers {
        /// The number of layers.
        found: usize,
    },
    /// A point of a layer lies more than 500 km from the lattice, or is not a number.
    #[error(
        "polygon {polygon} of layer {layer} has a point at {point:?}: expected metres, within 500 km of the lattice"
    )]
    Position {
        /// The position of the layer, from 0.
        layer: usize,
        /// The position of the polygon in its layer, from 0.
        polygon: usize,
        /// The point.
        point: [f64; 2],
    },
}

/// Parts the plane by cell label and by the layers that cover it, and joins what has one key.
///
/// Borders between labels follow the cells' edges, straightened by up to `straighten_m` metres (0
/// keeps them as they are); borders of layers stay where they were surveyed, to the millimetre.
/// `key` names the piece that ground belongs to, given its label (`None` off the lattice) and the
/// layers over it; ground that it returns `None` for is dropped.
///
/// By construction there is neither gap nor overlap: each border is made once, on a grid of 1 mm, and
/// read by the pieces on both its sides. All rings are simple, interiors are connected, and every
/// vertex on a border is a vertex of both neighbours.
///
/// # Units
/// Metres, in any plane coordinate system whose x runs east and y north.
///
/// # Cost
/// Linear in the cells (2 bits of memory each), near-linear in the linework. One thread; the same
/// input gives the same output.
///
/// # Errors
/// When the labels do not fill the lattice, or a coordinate, cell size or tolerance is out of range.
///
/// ```
/// use partition::{Lattice, Layer, Polygon, partition};
///
/// // two cells of 10 m, and a property that takes the southern half of both
/// let lattice =
///     Lattice { cols: 2, rows: 1, west: 1_800_000.0, north: 5_600_010.0, cell_width: 10.0, cell_height: 10.0 };
/// let south = vec![
///     [1_800_000.0, 5_600_000.0],
///     [1_800_020.0, 5_600_000.0],
///     [1_800_020.0, 5_600_005.0],
///     [1_800_000.0, 5_600_005.0],
/// ];
/// let property = Layer { polygons: vec![Polygon { shell: south, holes: vec![] }] };
/// let parted = partition(&[1, 2], &lattice, 0.0, &[property], |label, layers| {
///     label.filter(|_| layers.contains(0)).map(u64::from)
/// }, None)?;
/// assert_eq!(parted.pieces.len(), 2);
/// assert_eq!(parted.pieces[0].polygons[0].area_m2(), 50.0);
/// # Ok::<(), partition::PartitionError>(())
/// ```
pub fn partition(
    labels: &[u32],
    lattice: &Lattice,
    straighten_m: f64,
    layers: &[Layer],
    key: impl Fn(Option<u32>, LayerSet) -> Option<u64>,
    slivers: Option<&SliverRule>,
) -> Result<Partition, PartitionError> {
    let grid = check(labels, lattice, straighten_m, layers)?;
    let mut linework = Linework::default();
    linework.add_arcs(labels, lattice, straighten_m, &grid)?;
    linework.add_layers(layers, &grid)?;

    let arrangement = Arrangement::new(node(&linework.segments), &linework.sides);
    let faces = Faces::new(&arrangement.nodes, &arrangement.edges);
    let covers = covers(&arrangement, &faces);
    let mut keys: Vec<_> = covers.iter().map(|cover| key(cover.label, cover.layers)).collect();
    keys[crate::faces::UNBOUNDED as usize] = None;
    if let Some(rule) = slivers {
        hand_over(&mut keys, &arrangement, &faces, rule);
    }
    let dissolved = Dissolved::new(&arrangement, &faces, &keys);
    Ok(Partition { pieces: dissolved.pieces(&grid), borders: dissolved.borders() })
}

/// The greatest tolerance, in metres.
const GREATEST_TOLERANCE_M: f64 = 100_000.0;

fn check(
    labels: &[u32],
    lattice: &Lattice,
    straighten_m: f64,
    layers: &[Layer],
) -> Result<PrecisionGrid, PartitionError> {
    let &Lattice { west, north, cell_width, cell_height, .. } = lattice;
    if labels.len() != lattice.cells() {
        let expected = lattice.cells();
        return Err(PartitionError::LabelCount { found: labels.len(), expected });
    }
    if !(cell_width >= 0.01 && cell_height >= 0.01) {
        return Err(PartitionError::CellSize { cell_width, cell_height });
    }
    if !(0.0..=GREATEST_TOLERANCE_M).contains(&straighten_m) {
        return Err(PartitionError::Tolerance { found: straighten_m });
    }
    if layers.len() > MOST_LAYERS {
        return Err(PartitionError::TooManyLayers { found: layers.len() });
    }
    let corner = [west, north];
    PrecisionGrid::around(corner).ok_or(PartitionError::LatticePosition { corner })
}

/// Every line of the input, and what lies on both sides of each source.
#[derive(Default)]
struct Linework {
    segments: Vec<Segment>,
    sides: Vec<Sides>,
}

impl Linework {
    fn add_arcs(
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

    fn add_layers(&mut self, layers: &[Layer], grid: &PrecisionGrid) -> Result<(), PartitionError> {
        for (ring, sides) in rings(layers, grid)? {
            let closing = ring.first().copied();
            self.add(ring.into_iter().chain(closing), sides);
        }
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
