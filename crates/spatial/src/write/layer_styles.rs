//! Styles that travel inside a GeoPackage: the table `layer_styles`.
//!
//! The table is QGIS's own habit, which other packages read too; no standard has it. Each row has QML for QGIS and
//! SLD 1.1.0 for the others. Texts for catalogue and schema are empty, not NULL, and the table is registered as
//! one of attributes, as QGIS itself does: otherwise a layer opens without its style.

use palette::look::Look;
use palette::{qml, sld};
use rusqlite::{Connection, params};

use super::about::FIXED_TIME;

/// Name of the table.
pub(super) const LAYER_STYLES: &str = "layer_styles";

/// Writes a default style for each layer; no table where there is none.
pub(super) fn write_styles(file: &Connection, looks: &[(&str, Look)]) -> rusqlite::Result<()> {
    if looks.is_empty() {
        return Ok(());
    }
    file.execute_batch(TABLE)?;
    file.execute(
        "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change) \
         VALUES (?1, 'attributes', ?1, 'How the layers are drawn', ?2)",
        [LAYER_STYLES, FIXED_TIME],
    )?;
    let mut put = file.prepare(
        "INSERT INTO layer_styles VALUES (?1, '', '', ?2, 'geom', ?3, ?4, ?5, 1, ?6, '', NULL, ?7)",
    )?;
    for (at, (layer, look)) in looks.iter().enumerate() {
        let (qml, sld) = (qml::qml(look), sld::sld(look));
        put.execute(params![at as i64 + 1, layer, look.name, qml, sld, look.title, FIXED_TIME])?;
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
