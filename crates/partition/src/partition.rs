//! The way from labelled cells, surveyed layers and units to pieces.

use crate::arrangement::{Arrangement, Mark};
use crate::dissolve::{Border, Dissolved, Piece};
use crate::error::PartitionError;
use crate::faces::{Faces, UNBOUNDED};
use crate::labelling::{Place, places};
use crate::lattice::Lattice;
use crate::layers::{Layer, MOST_LAYERS, Polygon};
use crate::linework::Linework;
use crate::noding::node;
use crate::precision::PrecisionGrid;
use crate::slivers::{SliverRule, hand_over};

/// Ground parted into pieces that share their borders exactly.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Partition {
    /// The pieces, by key.
    pub pieces: Vec<Piece>,
    /// The length of border between each two keys, in order.
    pub borders: Vec<Border>,
}

/// Parts the plane by cell label, by the layers that cover it and by units, and joins what has one key.
///
/// Borders between labels follow the cells' edges, straightened by up to `straighten_m` metres (0
/// keeps them as they are); borders of layers and units stay where they were surveyed, to the
/// millimetre. `key` names the piece that ground belongs to, given the label, layers and unit of its
/// [`Place`]; ground that it returns `None` for is dropped.
///
/// Units, such as those that [`units`](crate::units()) makes, may be any number. They should not
/// overlap: where they do the first wins. Cells do not follow the border of a unit, so beside it
/// ground can carry a label from the other side; a [`SliverRule`] hands it over. To keep each unit
/// whole, let `key` keep all ground that has a unit and no other: where a break meets the boundary,
/// units and a layer of the boundary's own polygons can differ by a millimetre.
///
/// By construction there is neither gap nor overlap: each border is made once, on a grid of 1 mm, and
/// read by the pieces on both its sides. All rings are simple, interiors are connected, and every
/// vertex on a border is a vertex of both neighbours.
///
/// # Units
/// Metres, in any plane coordinate system whose x runs east and y north.
///
/// # Cost
/// Linear in the cells (2 bits of memory each), near-linear in the linework. All cores, but for finding
/// the faces and putting the pieces together; the same input gives the same output.
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
/// let parted = partition(&[1, 2], &lattice, 0.0, &[property], &[], |place| {
///     place.label.filter(|_| place.layers.contains(0)).map(u64::from)
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
    units: &[Polygon],
    key: impl Fn(Place) -> Option<u64>,
    slivers: Option<&SliverRule>,
) -> Result<Partition, PartitionError> {
    let grid = check(labels, lattice, straighten_m, layers)?;
    let mut linework = Linework::default();
    linework.add_arcs(labels, lattice, straighten_m, &grid)?;
    linework.add_layers(layers, &grid)?;
    for (position, unit) in units.iter().enumerate() {
        linework
            .add_polygon(unit, Mark::Unit(position as u32), &grid)
            .map_err(|point| PartitionError::OutOfReach { what: "unit", position, point })?;
    }

    let arrangement = Arrangement::new(node(&linework.segments), &linework.sides);
    let faces = Faces::new(&arrangement.nodes, &arrangement.edges);
    let mut keys: Vec<_> = places(&arrangement, &faces).into_iter().map(key).collect();
    keys[UNBOUNDED as usize] = None;
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
