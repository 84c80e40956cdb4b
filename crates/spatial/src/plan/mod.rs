//! The plan: the one value from which every output is written.

mod assemble;
mod reasons;
mod rows;

pub use assemble::{Parts, assemble};
pub use rows::*;
