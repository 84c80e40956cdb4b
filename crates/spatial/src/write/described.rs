//! What each column of a GeoPackage says, in the file itself.
//!
//! Source: OGC 12-128r17, GeoPackage Encoding Standard 1.3, annex F.9, Schema: `gpkg_data_columns` with a
//! name, a title and a description for each column. They come from the table that the data dictionary is
//! made from.

use rusqlite::{Connection, params};

use super::about::register;
use super::columns::Column;
use super::table::Outline;

/// A column in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct ColumnWords {
    /// Its name.
    name: String,
    /// The same to read, with its unit.
    title: String,
    /// What it says, with its unit.
    description: String,
}

/// The words of every column, the row number and the geometry among them.
pub(super) fn words_of<Row, Whole>(
    columns: &[Column<Row, Whole>],
    geometry: &str,
) -> Vec<ColumnWords> {
    let own = [
        ("fid", "Row", "Number of the row in this file; it names nothing.".to_owned()),
        (
            "geom",
            "Geometry",
            format!("{geometry} in the coordinate system of the layer, easting first."),
        ),
    ];
    let own = own.map(|(name, title, description)| ColumnWords {
        name: name.to_owned(),
        title: title.to_owned(),
        description,
    });
    own.into_iter().chain(columns.iter().map(words)).collect()
}

fn words<Row, Whole>(column: &Column<Row, Whole>) -> ColumnWords {
    let unit = column.measure();
    let mut title = column.title();
    let mut description = column.meaning.to_owned();
    if !unit.is_empty() {
        title = format!("{title} ({unit})");
        description = format!("{description} Unit: {unit}.");
    }
    ColumnWords { name: column.name.to_owned(), title, description }
}

/// Makes the tables of the schema extension, registers them, and fills in the columns of each layer.
pub(super) fn describe(file: &Connection, layers: &[Outline]) -> rusqlite::Result<()> {
    for statement in TABLES {
        file.execute_batch(statement)?;
    }
    for table in ["gpkg_data_columns", "gpkg_data_column_constraints"] {
        register(file, table, "gpkg_schema", "#extension_schema")?;
    }
    let mut put =
        file.prepare("INSERT INTO gpkg_data_columns VALUES (?1, ?2, ?2, ?3, ?4, NULL, NULL)")?;
    for layer in layers {
        for column in &layer.words {
            put.execute(params![layer.name, column.name, column.title, column.description])?;
        }
    }
    Ok(())
}

/// Tables of the schema extension, as the standard defines them.
const TABLES: [&str; 2] = [
    "CREATE TABLE gpkg_data_columns (\
     table_name TEXT NOT NULL, \
     column_name TEXT NOT NULL, \
     name TEXT, \
     title TEXT, \
     description TEXT, \
     mime_type TEXT, \
     constraint_name TEXT, \
     CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name), \
     CONSTRAINT gdc_tn UNIQUE (table_name, name))",
    "CREATE TABLE gpkg_data_column_constraints (\
     constraint_name TEXT NOT NULL, \
     constraint_type TEXT NOT NULL, \
     value TEXT, \
     min NUMERIC, \
     min_is_inclusive BOOLEAN, \
     max NUMERIC, \
     max_is_inclusive BOOLEAN, \
     description TEXT, \
     CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value))",
];

#[cfg(test)]
mod tests {
    use super::super::columns::ZONES;
    use super::*;

    #[test]
    fn a_title_is_the_name_in_words_with_its_unit() {
        let words = words_of(&ZONES, "MULTIPOLYGON");
        assert_eq!(words.len(), ZONES.len() + 2);
        let of = |name: &str| words.iter().find(|one| one.name == name).unwrap();
        assert_eq!(of("plan_area_ha").title, "Plan area (ha, map)");
        assert_eq!(
            of("plan_area_ha").description,
            "Area of the polygon on the flat map. Unit: ha, map."
        );
        assert_eq!(of("zone_id").title, "Zone id");
        assert_eq!(of("fid").title, "Row");
    }
}
