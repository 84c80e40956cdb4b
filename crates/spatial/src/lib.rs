//! The engine: layers in, one plan out.
//!
//! ```text
//! site.toml ─► read ─► ground ─► zones ─► fit ─► mosaic ─► layout ─► counts ─► checks ─► plan ─► write
//! ```
//! Every front end calls this one pipeline and gets the same [`plan::Plan`].

pub mod plan;
pub mod problem;
pub mod read;
pub mod site;
pub mod units;
