//! What can be wrong with the input.

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
    /// More layers than a [`LayerSet`](crate::LayerSet) holds.
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
    /// A point of a boundary, a break or a unit lies out of reach, or is not a number.
    #[error(
        "{what} {position} has a point at {point:?}: expected metres, within 500 km of all other ground"
    )]
    OutOfReach {
        /// What it belongs to: `boundary polygon`, `break line`, `break polygon` or `unit`.
        what: &'static str,
        /// The position of that in its list, from 0.
        position: usize,
        /// The point.
        point: [f64; 2],
    },
}
