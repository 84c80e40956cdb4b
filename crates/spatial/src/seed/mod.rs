//! Local seed of one property: where to sample its stands, and what comes of the sheets.
//!
//! ```text
//! lab sheet ───► samples ─┐
//! field sheet ─► trees ───┴─► join ─► on the property, stand by stand
//! ```

pub mod columns;
mod day;
mod field;
mod join;
mod lab;
mod number;
mod on_property;
mod place;

#[cfg(test)]
mod tests;

pub use day::{Day, DayFault};
pub use field::{FieldSheet, FieldTree, read_field};
pub use join::{FARTHEST_APART_M, Joined, SheetTree, join};
pub use lab::{LabSample, LabSheet, read_lab};
pub use on_property::{Placed, on_property};
