//! The plan: the one value from which every output is written.

mod assemble;
mod reasons;
mod rows;
mod zone_row;

pub use assemble::{Parts, assemble};
pub use rows::*;
