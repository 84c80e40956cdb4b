//! Local seed of one property: where to sample its stands, and what comes of the sheets.
//!
//! ```text
//! stands ─► places ─► strata ─► draw ─► field sheet: CSV, GPX, GeoPackage, page to print
//! ```

mod cautions;
pub mod columns;
mod cover;
mod csv_sheet;
mod field_columns;
mod filled;
mod map;
mod pilot;
mod places;
mod rows;
mod sheet;
mod sites;
mod strata;
mod tree_list;
mod write_sites;

pub(crate) use filled::refuse_filled;
pub use rows::{PopulationRow, SeedSites, SettingsRow, SiteCaution, StandRow, StratumRow, TreeRow};
pub use sites::{SitesAsked, sites};
pub use write_sites::{
    FIELD_SHEET_CSV, FIELD_SHEET_GPKG, FIELD_SHEET_GPX, FIELD_SHEET_HTML, MOTHER_TREES,
    SEED_SITES_JSON, SEED_SITES_SCHEMA, write_sites,
};
