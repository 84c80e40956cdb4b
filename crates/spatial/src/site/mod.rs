//! The site: `site.toml` read, checked and explained.

mod types;

pub use types::*;
