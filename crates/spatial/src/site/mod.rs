//! The site: `site.toml` read, checked and explained.
//!
//! ```text
//! text ─► document ─► check against KEYS ─► layers, rules ─► Site
//!         (TOML)      (unknown, missing,    (what several
//!                      type, range)          keys say together)
//! ```
//! Every problem is reported, not the first, each with its line and column.

mod calendar;
mod chances;
mod check;
mod cover;
mod density;
mod document;
mod eligibility;
mod fault;
mod keep_clear;
mod keys;
mod keys_page;
mod kind;
mod layers;
mod limits;
mod list;
mod money;
mod parse;
mod report;
mod rules;
mod season;
mod section;
mod seed;
mod starter;
mod text_file;
mod types;

#[cfg(test)]
mod tests;

pub use calendar::CalendarRules;
pub use chances::ChanceRules;
pub use cover::{CoverRules, Measure};
pub(crate) use document::{Places, read as read_toml};
pub use eligibility::EligibilityRules;
pub use keys::{KEYS, Key, Presence};
pub use keys_page::keys_markdown;
pub use kind::Kind;
pub(crate) use kind::nearest;
pub use limits::{Limits, Order};
pub use money::{BlankingPlants, MoneyRules};
pub use parse::{SITE_FILE, load, parse};
pub use season::SeasonRules;
use seed::kept_names;
pub use seed::{IndexBy, SeedRules, TraitRule};
pub use starter::starter_files;
pub(crate) use text_file::{LARGEST_SHEET, TextFile};
pub use types::*;
