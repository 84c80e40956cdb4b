//! Maps on sheets, drawn to a round scale.

mod cells;
mod frame;
mod labels;
mod legend;
mod sheets;

pub(crate) use sheets::sheets;
