//! The columns of the field sheet as values.

use super::columns::{BLANK, PLACE};
use super::rows::{SeedSites, TreeRow};
use crate::write::columns::Column;
use crate::write::{Kind, Value};

type FieldColumn = Column<TreeRow, SeedSites>;

const WORDS: (Kind, &str, &str) = (Kind::Text, "", "");
const METRES: (Kind, &str, &str) = (Kind::Real, "m", "map");
const DEGREES: (Kind, &str, &str) = (Kind::Real, "degrees", "");
const SCORE: (Kind, &str, &str) = (Kind::Integer, "1 to 5", "");

/// Every column, in the order of [`field_columns`](super::columns::field_columns).
#[rustfmt::skip] // a table
pub static FIELD_SHEET: [FieldColumn; PLACE.len() + BLANK.len()] = [
    FieldColumn::new(PLACE[0], WORDS, "Name of the tree, unique on the property.", |t, _| (&t.tree_id).into()),
    FieldColumn::new(PLACE[1], WORDS, "Stand that it grows in.", |t, _| (&t.stand_id).into()),
    FieldColumn::new(PLACE[2], WORDS, "Part of the stand: heights in metres and the quarter it faces.", |t, _| (&t.stratum).into()),
    FieldColumn::new(PLACE[3], METRES, "Easting of the place in the plan's coordinate system.", |t, _| t.easting_m.into()),
    FieldColumn::new(PLACE[4], METRES, "Northing of the place.", |t, _| t.northing_m.into()),
    FieldColumn::new(PLACE[5], DEGREES, "Longitude on WGS 84.", |t, _| t.longitude_deg.into()),
    FieldColumn::new(PLACE[6], DEGREES, "Latitude on WGS 84.", |t, _| t.latitude_deg.into()),
    FieldColumn::new(PLACE[7], (Kind::Real, "m", ""), "Elevation of the ground.", |t, _| t.elevation_m.into()),
    FieldColumn::new(PLACE[8], DEGREES, "Slope at the site's working scale.", |t, _| t.slope_deg.into()),
    FieldColumn::new(PLACE[9], DEGREES, "Where the ground faces, clockwise from north; null where it is level.", |t, _| t.aspect_deg.into()),
    FieldColumn::new(PLACE[10], METRES, "Distance from the nearest track in a straight line; null without tracks.", |t, _| t.to_track_m.into()),
    FieldColumn::new(PLACE[11], WORDS, "What is to be careful of; empty where nothing is.", |t, _| (&t.caution).into()),
    FieldColumn::new(BLANK[0], SCORE, "Vigour, 1 (poorest) to 5 (best).", blank),
    FieldColumn::new(BLANK[1], SCORE, "Form, 1 (poorest) to 5 (best).", blank),
    FieldColumn::new(BLANK[2], SCORE, "How many flowers, 1 (fewest) to 5 (most).", blank),
    FieldColumn::new(BLANK[3], SCORE, "How good the flowers are, 1 (poorest) to 5 (best).", blank),
    FieldColumn::new(BLANK[4], (Kind::Integer, "capsules", ""), "Seed capsules, counted or estimated for the whole tree.", blank),
    FieldColumn::new(BLANK[5], (Kind::Integer, "0 to 5", ""), "Disease, 0 (none) to 5 (dying).", blank),
    FieldColumn::new(BLANK[6], WORDS, "Name or number of the photograph.", blank),
    FieldColumn::new(BLANK[7], WORDS, "Whether permission was given: yes or no.", blank),
    FieldColumn::new(BLANK[8], WORDS, "Anything else.", blank),
];

/// Filled in at the tree.
fn blank(_: &TreeRow, _: &SeedSites) -> Value {
    Value::Null
}

#[cfg(test)]
mod tests {
    use super::super::columns::field_columns;
    use super::*;

    #[test]
    fn the_table_has_the_columns_of_the_sheet_in_their_order() {
        assert!(FIELD_SHEET.iter().map(|column| column.name).eq(field_columns()));
    }
}
