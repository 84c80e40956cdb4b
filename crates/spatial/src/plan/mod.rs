//! The plan: the one value from which every output is written.

mod assemble;
mod cards;
mod case;
mod file;
mod given;
mod holds;
mod land;
mod limits;
mod order_rows;
mod reasons;
#[cfg(test)]
mod reasons_tests;
mod rows;
mod shapes;
mod uses;
mod warnings;
mod zone_reasons;
mod zone_row;

pub use assemble::{Parts, assemble};
pub use cards::{CardRow, line_colour, line_letter};
pub use file::record;
pub(crate) use file::{plan_file, read_plan};
pub(crate) use given::{USUAL_SEED, changed_since, given_or_made, told};
pub(crate) use land::Land;
pub use rows::*;
pub use shapes::{Shapes, shapes};
