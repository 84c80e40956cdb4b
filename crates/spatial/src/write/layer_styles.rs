//! Styles that travel inside a GeoPackage: the table `layer_styles`.
//!
//! The table is QGIS's own habit, which other packages read too; no standard has it. Each row has QML for QGIS and
//! SLD 1.1.0 for the others. Texts for catalogue and schema are empty, not NULL, and the table is registered as
//! one of attributes, as QGIS itself does: otherwise a layer opens without its style.

use gdal::Dataset;
use gdal::errors::GdalError;
use palette::look::Look;
use palette::{qml, sld};

use super::about::FIXED_TIME;
use super::sql::{quoted, run};

/// Name of the table.
pub(super) const LAYER_STYLES: &str = "layer_styles";

/// Writes a default style for each layer; no table where there is none.
pub(super) fn write_styles(dataset: &Dataset, looks: &[(&str, Look)]) -> Result<(), GdalError> {
    if looks.is_empty() {
        return Ok(());
    }
    run(dataset, TABLE)?;
    run(
        dataset,
        &format!(
            "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change) \
             VALUES ('{LAYER_STYLES}', 'attributes', '{LAYER_STYLES}', 'How the layers are drawn', '{FIXED_TIME}')"
        ),
    )?;
    for (at, (layer, look)) in looks.iter().enumerate() {
        let cells = [layer, look.name.as_str(), &qml::qml(look), &sld::sld(look), &look.title];
        let [layer, name, qml, sld, title] = cells.map(quoted);
        run(
            dataset,
            &format!(
                "INSERT INTO {LAYER_STYLES} VALUES ({}, '', '', {layer}, 'geom', {name}, {qml}, {sld}, 1, {title}, \
                 '', NULL, '{FIXED_TIME}')",
                at + 1
            ),
        )?;
    }
    Ok(())
}

/// The columns that readers look for, in their spelling.
const TABLE: &str = "CREATE TABLE layer_styles (\
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, \
    f_table_catalog TEXT, \
    f_table_schema TEXT, \
    f_table_name TEXT, \
    f_geometry_column TEXT, \
    styleName TEXT, \
    styleQML TEXT, \
    styleSLD TEXT, \
    useAsDefault BOOLEAN, \
    description TEXT, \
    owner TEXT, \
    ui TEXT, \
    update_time DATETIME DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')))";
