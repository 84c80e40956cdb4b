//! Maps on sheets, drawn to a round scale.

mod cautions;
mod cells;
mod cover;
mod frame;
mod ground;
mod labels;
mod legend;
mod mosaic;
mod pattern;
mod sheets;

pub(crate) use sheets::sheets;
