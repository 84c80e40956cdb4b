//! The plan: the one value from which every output is written.

mod assemble;
mod cards;
mod case;
mod file;
mod given;
mod holds;
mod land;
mod layers;
mod limits;
mod order_rows;
mod reasons;
#[cfg(test)]
mod reasons_tests;
mod rounded;
mod rows;
mod shapes;
mod uses;
mod warnings;
mod zone_reasons;
mod zone_row;

pub use assemble::{Parts, assemble};
pub use cards::{CardRow, line_colour, line_letter};
pub(crate) use file::{plan_file, read_plan, sum_of};
pub use file::{record, record_sha256};
pub use given::USUAL_SEED;
pub(crate) use given::{WHY_NOTHING, changed_since, given_or_made, told};
pub(crate) use land::Land;
pub(crate) use layers::{
    LAYERS, LayerRow, PlanLayer, PlanLayers, Shape, layers_file, read_layers, shape, value,
};
pub use rows::*;
pub use shapes::{Shapes, shapes};
