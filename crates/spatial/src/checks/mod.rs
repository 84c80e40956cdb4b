//! Checks: what people on the ground must know before they go.

mod cautions;

pub use cautions::cautions;
