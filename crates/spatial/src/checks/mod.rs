//! Checks: what people on the ground must know before they go.

mod brief;
mod cautions;
pub mod cover;
pub mod eligible;
mod work_cautions;

pub use brief::BriefCaution;
pub(crate) use cautions::of_drop_points;
pub use cautions::{cautions, within_words};
pub(crate) use work_cautions::of_work;
