//! The columns of the field sheet, as it goes out and as it comes back.

/// Columns that say which tree and where; filled in before the sheet goes out.
pub const PLACE: [&str; 12] = [
    "tree_id",
    "stand_id",
    "stratum",
    "easting_m",
    "northing_m",
    "longitude_deg",
    "latitude_deg",
    "elevation_m",
    "slope_deg",
    "aspect_deg",
    "to_track_m",
    "caution",
];

/// Columns that go out blank and are filled in at the tree: scores 1 (poorest) to 5 (best), capsules
/// counted or estimated for the whole tree, disease 0 (none) to 5 (dying), permission yes or no.
pub const BLANK: [&str; 9] = [
    "vigour",
    "form",
    "flower_number",
    "flower_quality",
    "seed_capsules",
    "disease",
    "photo",
    "permission",
    "note",
];

/// Every column of the field sheet, in order.
pub fn field_columns() -> impl Iterator<Item = &'static str> {
    PLACE.into_iter().chain(BLANK)
}
