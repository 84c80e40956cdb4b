//! The engine: layers in, one plan out.
//!
//! ```text
//! site.toml ─► read ─► ground ─► zones ─► fit ─► mosaic ─► layout ─► counts ─► checks ─► plan ─► write
//! ```
//! Every front end calls this one pipeline and gets the same [`plan::Plan`].

pub mod assign;
pub mod calendar;
pub mod chances;
pub mod checks;
pub mod compare;
pub mod counts;
pub mod export;
mod faults;
pub mod fit;
pub mod ground;
pub mod landform;
pub mod layout;
pub mod money;
pub mod mosaic;
pub mod offers;
pub mod overrides;
pub mod pipeline;
pub mod plan;
pub mod problem;
pub mod read;
pub mod season;
pub mod seed;
mod sheet;
pub mod site;
pub mod start;
pub mod stock_file;
pub mod survival;
pub mod units;
pub mod write;
pub mod zones;
