//! An earlier plan in other formats: its layers, read from its GeoPackage, for programs that do not take that.
//!
//! ```text
//! plan.gpkg, plan.json ─► layers ─┬─► grid formats (shapefile, FlatGeobuf): in the plan's coordinate system
//!                                 └─► on the globe, all together ─► GeoJSON, KML, GPX
//! ```
//! Each file is read back and held against the layers before it counts as written.

mod cut;
mod geojson_file;
mod globe;
mod gpx;
mod grid;
mod kml;
mod names;
mod read_back;
mod record;
mod shapefile_set;
mod told;

use std::path::Path;

pub use record::{EXPORT_JSON, EXPORT_SCHEMA, Export, FileRecord, LayerRecord};

use crate::plan::{PlanLayers, layers_file, read_layers, record_sha256, sum_of};
use crate::problem::Problem;
use crate::write::{StagedFolder, Written};

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Format {
    /// A shapefile set a layer, in the plan's coordinate system. Source: Esri 1998, Shapefile Technical Description.
    Shapefile,
    /// A file a layer, in the plan's coordinate system, with a spatial index.
    FlatGeobuf,
    /// One file with a folder a layer. Source: OGC 07-147r2, KML 2.2.
    Kml,
    /// Drop points and outlines of zones. Source: Foster 2004, GPX 1.1.
    Gpx,
    /// A file a layer. Source: Butler et al. 2016, RFC 7946.
    GeoJson,
}

impl Format {
    /// All of them.
    pub const ALL: [Self; 5] =
        [Self::Shapefile, Self::FlatGeobuf, Self::Kml, Self::Gpx, Self::GeoJson];

    /// Its name, as people type it.
    #[must_use]
    pub fn name(self) -> &'static str {
        ["shapefile", "flatgeobuf", "kml", "gpx", "geojson"][self as usize]
    }
}

/// Name of the KML file.
pub const PLAN_KML: &str = "plan.kml";
/// Name of the GPX file.
pub const PLAN_GPX: &str = "plan.gpx";
/// Name of the table of names in shapefiles.
pub const SHAPEFILE_NAMES_CSV: &str = "shapefile_names.csv";
/// Endings of the files of a shapefile set.
pub(crate) const SHAPEFILE_ENDINGS: [&str; 5] = ["shp", "shx", "dbf", "prj", "cpg"];

/// Whether a file is one that an export writes.
pub(crate) fn is_export_file(name: &str) -> bool {
    let of_layer = |stem: &str| crate::plan::LAYERS.iter().any(|(layer, _)| *layer == stem);
    let ending =
        |ending: &str| SHAPEFILE_ENDINGS.contains(&ending) || ["fgb", "geojson"].contains(&ending);
    [EXPORT_JSON, PLAN_KML, PLAN_GPX, SHAPEFILE_NAMES_CSV].contains(&name)
        || name.split_once('.').is_some_and(|(stem, end)| of_layer(stem) && ending(end))
}

/// Writes the plan of a folder in other formats into another folder, whole or not at all, and says what it wrote.
/// `enter` is told of each step as it begins.
///
/// # Errors
/// When there is no plan, its GeoPackage is not that of its record, the folder may not be made or replaced, the disk
/// or a format refuses, or what is read back is not what was written.
pub fn export(
    plan: &Path,
    formats: &[Format],
    (target, overwrite): (&Path, bool),
    enter: &mut dyn FnMut(&'static str),
) -> Result<(Export, Vec<Written>), Problem> {
    enter("read");
    let told = told::read(plan)?;
    let read = read_layers(plan)?;
    let folder = StagedFolder::begin(target, overwrite)?;
    let mut out = Out { folder, files: Vec::new(), warnings: Vec::new() };
    let globe = globe::Globe::of(&read, formats)?;
    for format in Format::ALL.into_iter().filter(|format| formats.contains(format)) {
        enter(format.name());
        match format {
            Format::Shapefile => grid::shapefiles(&read, &mut out)?,
            Format::FlatGeobuf => grid::flatgeobufs(&read, &mut out)?,
            Format::Kml => kml::write(&read, &globe, &told, &mut out)?,
            Format::Gpx => gpx::write(&read, &globe, &told, &mut out)?,
            Format::GeoJson => geojson_file::write(&read, &globe, &mut out)?,
        }
    }
    enter("write");
    let export = Export {
        schema: EXPORT_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: told.site,
        plan_version: told.version,
        plan_sha256: record_sha256(plan)?,
        plan_gpkg_sha256: sum_of(&layers_file(plan))?,
        crs: read.crs.describe(),
        files: out.files,
        warnings: out.warnings,
    };
    out.folder.record(EXPORT_JSON, &export)?;
    Ok((export, out.folder.commit()?))
}

/// What is on its way, and what is to be told of it.
struct Out {
    folder: StagedFolder,
    files: Vec<FileRecord>,
    warnings: Vec<Problem>,
}

/// Figures of a layer as they were read back from a file.
fn layer_record(
    name: &'static str,
    features: usize,
    areas: (Option<f64>, Option<f64>),
) -> LayerRecord {
    LayerRecord { layer: name, features, plan_area_ha: areas.0, ellipsoid_area_ha: areas.1 }
}

/// The layers of a plan by name and number of features.
fn sizes(read: &PlanLayers) -> impl Iterator<Item = (&'static str, usize)> {
    read.layers.iter().map(|layer| (layer.name, layer.rows.len()))
}
