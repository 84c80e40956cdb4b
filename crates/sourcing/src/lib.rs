//! Local seed: find mother trees, test them, choose them, raise their seed.
//!
//! Pure: opens no files. The flow is
//! ```text
//! candidates ─► sample ─► field sheet ─► lab sheet ─► amount ─► variance ─► select ─► raise
//! ```
#![forbid(unsafe_code)]

pub mod amount;
pub mod raise;
pub mod sample;
pub mod select;
pub mod variance;
