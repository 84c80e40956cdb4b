//! Exact planar partitions.
//!
//! [`partition()`] takes a label for each cell of a lattice and any number of surveyed polygon layers,
//! and parts the ground into pieces that share their borders exactly: no gap, no overlap, valid rings,
//! and every vertex on a border known to both neighbours. [`cell_fractions`] takes polygons back to the
//! lattice: the exact share of each cell that they cover.
//!
//! ```text
//! labels ─► arcs ─► straightened once ─┐
//!                                      ├─► snap rounding ─► faces ─► covers ─► keys ─► pieces
//! layers ─► rings ─────────────────────┘      (1 mm)                        (slivers)
//! ```
//!
//! Everything after the straightening is decided in whole numbers. Each face gets exactly one key and
//! each border is made once, so a straightened arc may at worst misname a sliver, never tear the cover.
#![forbid(unsafe_code)]

mod arrangement;
mod bins;
mod dissolve;
mod faces;
mod fractions;
mod labelling;
mod lattice;
mod layers;
mod noding;
mod partition;
mod precision;
mod segment;
mod slivers;
mod straighten;
mod tangles;

pub use dissolve::{Border, Piece};
pub use fractions::{Span, cell_fractions};
pub use lattice::Lattice;
pub use layers::{Layer, LayerSet, Polygon};
pub use partition::{Partition, PartitionError, partition};
pub use slivers::SliverRule;
