//! What a GeoPackage says about itself: an ISO 19139 document in its metadata tables.
//!
//! Sources: ISO 19115:2003, Geographic information, Metadata, in the encoding of ISO/TS 19139:2007
//! (element names and their order from memory, held to the schema by an outside check); OGC
//! 12-128r17, GeoPackage Encoding Standard 1.3, annex F.8, Metadata.
//!
//! No date and no path of the machine goes in, so that equal plans are equal files: the dates that the
//! standard asks for are there as withheld.

use std::fmt::Write;

use gdal::errors::GdalError;
use gdal::spatial_ref::{AxisMappingStrategy, CoordTransform, SpatialRef};
use geo::Rect;
use palette::escaped;
use palette::look::Look;
use rusqlite::{Connection, params};

use crate::plan::InputRecord;

/// The time that stands wherever the format asks for one.
pub(super) const FIXED_TIME: &str = "2000-01-01T00:00:00.000Z";

/// Name space of the metadata.
pub(super) const GMD: &str = "http://www.isotc211.org/2005/gmd";

/// Where the code lists of the standard are.
const CODES: &str = "http://www.isotc211.org/2005/resources/Codelist/gmxCodelists.xml";

/// Points along each side of an extent that are moved to the globe with its corners.
const ALONG_SIDE: i32 = 21;

/// What goes with every layer.
const CAUTION: &str = "Made from layers by reckoning, not by looking at the ground. It does not say that \
    ground is safe, that a rule is met, or where service lines, burial sites or floods are. Local rules, \
    licensed people and those on the ground decide.";

/// What a file is and where it came from.
#[derive(Debug)]
pub(crate) struct About<'a> {
    /// Its title.
    pub(crate) title: String,
    /// What it holds, in a sentence or two.
    pub(crate) summary: &'a str,
    /// What was read.
    pub(crate) inputs: &'a [InputRecord],
    /// What was done, in order, a sentence each.
    pub(crate) steps: &'a [&'a str],
    /// How its layers are drawn, each with its table.
    pub(crate) looks: Vec<(&'static str, Look)>,
}

impl About<'_> {
    /// Fills the metadata tables and registers them.
    pub(super) fn write(
        &self,
        file: &Connection,
        crs: &SpatialRef,
        extent: Option<Rect<f64>>,
    ) -> rusqlite::Result<()> {
        for statement in TABLES {
            file.execute_batch(statement)?;
        }
        for table in ["gpkg_metadata", "gpkg_metadata_reference"] {
            register(file, table, "gpkg_metadata", "#extension_metadata")?;
        }
        file.execute(
            "INSERT INTO gpkg_metadata VALUES (1, 'dataset', ?1, 'text/xml', ?2)",
            params![GMD, self.document(crs, extent)],
        )?;
        file.execute(
            "INSERT INTO gpkg_metadata_reference VALUES ('geopackage', NULL, NULL, NULL, ?1, 1, NULL)",
            [FIXED_TIME],
        )?;
        Ok(())
    }

    /// The document. The order of its elements is that of the schema.
    fn document(&self, crs: &SpatialRef, extent: Option<Rect<f64>>) -> String {
        let mut page = format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gmd:MD_Metadata xmlns:gmd=\"{GMD}\" \
             xmlns:gco=\"http://www.isotc211.org/2005/gco\">\n"
        );
        put(&mut page, "gmd:language", &text("eng"));
        put(&mut page, "gmd:characterSet", &code("MD_CharacterSetCode", "utf8"));
        put(&mut page, "gmd:hierarchyLevel", &code("MD_ScopeCode", "dataset"));
        page += "<gmd:contact gco:nilReason=\"missing\"/>\n";
        page += "<gmd:dateStamp gco:nilReason=\"withheld\"/>\n";
        put(&mut page, "gmd:metadataStandardName", &text("ISO 19115:2003"));
        put(&mut page, "gmd:referenceSystemInfo", &reference_system(crs));
        put(&mut page, "gmd:identificationInfo", &self.identification(crs, extent));
        put(&mut page, "gmd:dataQualityInfo", &self.quality());
        page + "</gmd:MD_Metadata>\n"
    }

    fn identification(&self, crs: &SpatialRef, extent: Option<Rect<f64>>) -> String {
        let mut citation = wrapped("gmd:title", &text(&self.title));
        citation += "<gmd:date gco:nilReason=\"withheld\"/>\n";
        let mut inside = wrapped("gmd:citation", &wrapped("gmd:CI_Citation", &citation));
        put(&mut inside, "gmd:abstract", &text(self.summary));
        let limit = wrapped("gmd:useLimitation", &text(CAUTION));
        put(&mut inside, "gmd:resourceConstraints", &wrapped("gmd:MD_Constraints", &limit));
        put(
            &mut inside,
            "gmd:spatialRepresentationType",
            &code("MD_SpatialRepresentationTypeCode", "vector"),
        );
        put(&mut inside, "gmd:language", &text("eng"));
        let topic = "<gmd:MD_TopicCategoryCode>farming</gmd:MD_TopicCategoryCode>";
        put(&mut inside, "gmd:topicCategory", topic);
        if let Some(extent) = extent {
            put(&mut inside, "gmd:extent", &wrapped("gmd:EX_Extent", &extent_of(crs, extent)));
        }
        wrapped("gmd:MD_DataIdentification", &inside)
    }

    fn quality(&self) -> String {
        let level = wrapped("gmd:level", &code("MD_ScopeCode", "dataset"));
        let mut inside = wrapped("gmd:scope", &wrapped("gmd:DQ_Scope", &level));
        let mut lineage = wrapped("gmd:statement", &text(&statement()));
        for step in self.steps {
            let step = wrapped("gmd:description", &text(step));
            put(&mut lineage, "gmd:processStep", &wrapped("gmd:LI_ProcessStep", &step));
        }
        for input in self.inputs {
            let source = wrapped("gmd:description", &text(&said_of(input)));
            put(&mut lineage, "gmd:source", &wrapped("gmd:LI_Source", &source));
        }
        put(&mut inside, "gmd:lineage", &wrapped("gmd:LI_Lineage", &lineage));
        wrapped("gmd:DQ_DataQuality", &inside)
    }
}

/// Tables of the metadata extension, as the standard defines them.
const TABLES: [&str; 2] = [
    "CREATE TABLE gpkg_metadata (\
     id INTEGER CONSTRAINT m_pk PRIMARY KEY ASC NOT NULL, \
     md_scope TEXT NOT NULL DEFAULT 'dataset', \
     md_standard_uri TEXT NOT NULL, \
     mime_type TEXT NOT NULL DEFAULT 'text/xml', \
     metadata TEXT NOT NULL DEFAULT '')",
    "CREATE TABLE gpkg_metadata_reference (\
     reference_scope TEXT NOT NULL, \
     table_name TEXT, \
     column_name TEXT, \
     row_id_value INTEGER, \
     timestamp DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')), \
     md_file_id INTEGER NOT NULL, \
     md_parent_id INTEGER, \
     CONSTRAINT crmr_mfi_fk FOREIGN KEY (md_file_id) REFERENCES gpkg_metadata(id), \
     CONSTRAINT crmr_mpi_fk FOREIGN KEY (md_parent_id) REFERENCES gpkg_metadata(id))",
];

/// Registers a table of an extension of the standard.
pub(super) fn register(
    file: &Connection,
    table: &str,
    extension: &str,
    chapter: &str,
) -> rusqlite::Result<()> {
    file.execute(
        "INSERT INTO gpkg_extensions VALUES (?1, NULL, ?2, ?3, 'read-write')",
        params![table, extension, format!("http://www.geopackage.org/spec130/{chapter}")],
    )?;
    Ok(())
}

fn statement() -> String {
    format!(
        "Made by hillweave {} from the sources named here, by the steps below in their order. Equal \
             sources give equal files; no date is kept.",
        env!("CARGO_PKG_VERSION")
    )
}

/// Role, name and sum of an input. Of a file outside the site's folder only the name is told.
fn said_of(input: &InputRecord) -> String {
    let file = if input.file.is_absolute() {
        input.file.file_name().map_or(input.file.as_path(), std::path::Path::new)
    } else {
        input.file.as_path()
    };
    format!("{}: {}, sha256 {}", input.role, file.display(), input.sha256)
}

/// The system's code where it has one, else its name.
fn reference_system(crs: &SpatialRef) -> String {
    let (space, name) = match (crs.auth_name(), crs.auth_code()) {
        (Some(space), Ok(number)) => (space, number.to_string()),
        _ => (String::new(), crs.name().unwrap_or_else(|| "without a name".to_owned())),
    };
    let mut inside = wrapped("gmd:code", &text(&name));
    if !space.is_empty() {
        put(&mut inside, "gmd:codeSpace", &text(&space));
    }
    let identifier = wrapped("gmd:RS_Identifier", &inside);
    wrapped("gmd:MD_ReferenceSystem", &wrapped("gmd:referenceSystemIdentifier", &identifier))
}

/// In the plan's own coordinates, and in degrees where the system leads there.
fn extent_of(crs: &SpatialRef, extent: Rect<f64>) -> String {
    let (low, high) = (extent.min(), extent.max());
    let described =
        format!("Easting {:.3} to {:.3}, northing {:.3} to {:.3}", low.x, high.x, low.y, high.y);
    let mut inside = wrapped("gmd:description", &text(&described));
    if let Ok([west, south, east, north]) = degrees(crs, extent) {
        let mut sides = String::new();
        for (side, value) in [
            ("gmd:westBoundLongitude", west),
            ("gmd:eastBoundLongitude", east),
            ("gmd:southBoundLatitude", south),
            ("gmd:northBoundLatitude", north),
        ] {
            put(&mut sides, side, &format!("<gco:Decimal>{value:.6}</gco:Decimal>"));
        }
        let sides = wrapped("gmd:EX_GeographicBoundingBox", &sides);
        put(&mut inside, "gmd:geographicElement", &sides);
    }
    inside
}

/// West, south, east, north on WGS 84.
fn degrees(crs: &SpatialRef, extent: Rect<f64>) -> Result<[f64; 4], GdalError> {
    let mut globe = SpatialRef::from_epsg(4326)?;
    globe.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    let (low, high) = (extent.min(), extent.max());
    CoordTransform::new(crs, &globe)?.transform_bounds(&[low.x, low.y, high.x, high.y], ALONG_SIDE)
}

fn text(words: &str) -> String {
    format!("<gco:CharacterString>{}</gco:CharacterString>", escaped(words))
}

fn code(list: &str, value: &str) -> String {
    format!(
        "<gmd:{list} codeList=\"{CODES}#{list}\" codeListValue=\"{value}\">{value}</gmd:{list}>"
    )
}

fn wrapped(element: &str, inside: &str) -> String {
    format!("<{element}>{inside}</{element}>\n")
}

fn put(page: &mut String, element: &str, inside: &str) {
    // writing to a String cannot fail
    let _ = writeln!(page, "<{element}>{inside}</{element}>");
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use super::*;

    fn inputs() -> Vec<InputRecord> {
        [("dem & more.tif", "elevation"), ("/home/someone/cover.tif", "cover")]
            .map(|(file, role)| InputRecord {
                role: role.into(),
                file: PathBuf::from(file),
                sha256: "ab".repeat(32),
            })
            .to_vec()
    }

    fn document(crs: u32, extent: Option<Rect<f64>>) -> String {
        let mut crs = SpatialRef::from_epsg(crs).unwrap();
        crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
        let about = About {
            title: "Kōwhai <Example>".into(),
            summary: "zones",
            inputs: &inputs(),
            steps: &["Slope.", "Zones."],
            looks: Vec::new(),
        };
        about.document(&crs, extent)
    }

    #[test]
    fn sources_and_steps_are_told_in_their_order_without_a_path_of_the_machine() {
        let page = document(2193, None);
        let places: Vec<_> =
            ["Slope.", "Zones.", "elevation: dem &amp; more.tif, sha256 abab", "cover: cover.tif"]
                .map(|part| page.find(part).unwrap_or_else(|| panic!("{part}: {page}")))
                .to_vec();
        assert!(places.is_sorted());
        assert!(page.contains("Kōwhai &lt;Example&gt;") && !page.contains("someone"));
        assert!(!page.contains("gmd:extent"));
    }

    /// Reference point: PROJ 9.1 and 9.6, EPSG:2193 (1600000, 5400000) is 173° E, 41.551664523452835° S.
    #[test]
    fn the_extent_is_told_in_degrees_too() {
        let page =
            document(2193, Some(Rect::new((1_600_000.0, 5_400_000.0), (1_600_000.0, 5_400_000.0))));
        assert!(page.contains("Easting 1600000.000 to 1600000.000"));
        assert!(page.contains("<gmd:westBoundLongitude><gco:Decimal>173.000000<"), "{page}");
        assert!(page.contains("<gmd:southBoundLatitude><gco:Decimal>-41.551665<"), "{page}");
    }
}
