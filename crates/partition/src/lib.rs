//! Exact planar partitions.
//!
//! [`partition()`] takes a label for each cell of a lattice, surveyed polygon layers and units, and
//! parts the ground into pieces that share their borders exactly: no gap, no overlap, valid rings, and
//! every vertex on a border known to both neighbours. [`units()`] makes the units: the ground inside a
//! boundary, cut along break lines and break polygons. [`cell_fractions`] takes polygons back to the
//! lattice: the exact share of each cell that they cover. [`snapped`](fn@snapped) moves polygons that share borders
//! to another grid without tearing them.
//!
//! ```text
//! boundary, break lines, break polygons ─► snap rounding ─► faces ─► joined where no break parts them
//!                                                                                  │
//!                            ┌──────────────────── units ◄─────────────────────────┘
//!                            ▼
//! layers ─────────────────► rings ─────┐
//!                                      ├─► snap rounding ─► faces ─► places ─► keys ─► pieces
//! labels ─► arcs ─► straightened once ─┘      (1 mm)                    (crumbs and strays
//!                                                                          handed over)
//! ```
//!
//! Everything after the straightening is decided in whole numbers. Each face gets exactly one key and
//! each border is made once, so a straightened arc may at worst misname a sliver, never tear the cover.
#![forbid(unsafe_code)]

mod arrangement;
mod bins;
mod dissolve;
mod error;
mod faces;
mod fractions;
mod labelling;
mod lattice;
mod layers;
mod linework;
mod noding;
mod partition;
mod precision;
mod segment;
mod slivers;
mod snapped;
mod straighten;
mod tangles;
mod units;

pub use dissolve::{Border, Piece};
pub use error::PartitionError;
pub use fractions::{Span, cell_fractions};
pub use labelling::Place;
pub use lattice::Lattice;
pub use layers::{Layer, LayerSet, Polygon};
pub use partition::{Partition, partition};
pub use slivers::SliverRule;
pub use snapped::snapped;
pub use units::{Idle, Units, units};
