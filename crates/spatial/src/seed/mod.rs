//! Local seed of one property: where to sample its stands, and what comes of the sheets.
//!
//! ```text
//! stands ─► places ─► strata ─► draw ─► field sheet: CSV, GPX, GeoPackage, page to print
//!
//! lab sheet ───► samples ─┐
//! field sheet ─► trees ───┴─► join ─► on the property ─► rank ─► mothers ─► seed line
//! ```

mod cautions;
pub mod columns;
mod cover;
mod day;
mod field;
mod field_columns;
mod filled;
mod join;
mod lab;
mod map;
mod number;
mod on_property;
mod pilot;
mod place;
mod places;
pub mod rank;
mod rows;
mod sheet;
mod sites;
mod strata;
mod tree_list;
mod write_sites;

#[cfg(test)]
mod tests;

pub use day::{Day, DayFault};
pub use field::{FieldSheet, FieldTree, read_field};
pub use field_columns::FIELD_SHEET;
pub(crate) use filled::refuse_filled;
pub use join::{FARTHEST_APART_M, Joined, SheetTree, join};
pub use lab::{LabSample, LabSheet, read_lab};
pub use on_property::{Placed, on_property};
pub use rows::{PopulationRow, SeedSites, SettingsRow, SiteCaution, StandRow, StratumRow, TreeRow};
pub use sites::{SitesAsked, sites};
pub use write_sites::{
    FIELD_SHEET_CSV, FIELD_SHEET_GPKG, FIELD_SHEET_GPX, FIELD_SHEET_HTML, MOTHER_TREES,
    SEED_SITES_JSON, SEED_SITES_SCHEMA, write_sites,
};
