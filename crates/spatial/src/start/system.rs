//! Coordinate systems of files that name none: which would fit, and how a file is told.

use std::path::{Path, PathBuf};

use geo::{Distance, Geodesic, Point};
use serde::Serialize;

use super::folder::is_plain_name;
use crate::problem::Problem;
use crate::read::{Crs, FoundLayer, found, on_globe};
use crate::write::write_text;

/// Systems that files of New Zealand are usually in, and two of the world.
const USUAL: [&str; 5] = ["EPSG:2193", "EPSG:27200", "EPSG:4167", "EPSG:4326", "EPSG:3857"];

/// A system tried on a layer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Trial {
    /// The system, as `EPSG:code`.
    pub crs: String,
    /// In full words.
    pub name: String,
    /// Where the layer would lie: degrees west, south, east, north.
    pub on_globe: [f64; 4],
    /// How far that is from where it should be, middle to middle, kilometres; `None`: nothing to hold it against.
    pub apart_km: Option<f64>,
}

/// Systems that a layer without one could be in, the nearest to `where_it_should_be` (degrees) first. Tried are those of
/// `others` and those that are usual.
#[must_use]
pub fn systems(
    layer: &FoundLayer,
    others: &[&FoundLayer],
    where_it_should_be: Option<[f64; 4]>,
) -> Vec<Trial> {
    let Some(extent) = layer.extent else { return Vec::new() };
    let mut tried: Vec<Crs> = Vec::new();
    let codes = others.iter().filter_map(|one| one.crs_code.as_deref()).chain(USUAL);
    for crs in codes.filter_map(|code| Crs::from_user(code).ok()) {
        if !tried.iter().any(|one| one.is_same(&crs)) {
            tried.push(crs);
        }
    }
    let trial = |crs: &Crs| {
        let place = on_globe(crs, extent).filter(is_on_earth)?;
        let apart_km = where_it_should_be.map(|there| apart_km(place, there));
        Some(Trial { crs: crs.definition(), name: crs.describe_fully(), on_globe: place, apart_km })
    };
    let mut trials: Vec<Trial> = tried.iter().filter_map(trial).collect();
    trials.sort_by(|a, b| {
        let far = |one: &Trial| one.apart_km.unwrap_or(f64::INFINITY);
        far(a).total_cmp(&far(b))
    });
    trials
}

fn is_on_earth([west, south, east, north]: &[f64; 4]) -> bool {
    let is_longitude = |one: f64| (-180.0..=360.0).contains(&one);
    let is_latitude = |one: f64| (-90.0..=90.0).contains(&one);
    is_longitude(*west) && is_longitude(*east) && is_latitude(*south) && is_latitude(*north)
}

/// Between the middles of two rectangles in degrees, along the ellipsoid, kilometres.
pub(super) fn apart_km(one: [f64; 4], other: [f64; 4]) -> f64 {
    let middle = |[west, south, east, north]: [f64; 4]| {
        Point::new(west.midpoint(east), south.midpoint(north))
    };
    Geodesic.distance(middle(one), middle(other)) / 1000.0
}

/// Tells a file of a folder which system it is in: in a file of its own beside it, as GIS tools hear it too (`.prj` of a
/// shapefile, `.aux.xml` of a raster). The file itself is not touched; the name of what was written comes back.
///
/// # Errors
/// When the system is not known, the file names one already, has a form that is told otherwise, or the disk refuses.
pub fn tell_system(folder: &Path, file: &str, crs: &str) -> Result<PathBuf, Problem> {
    let fault = || Problem::error("coordinate system").file(Path::new(file));
    if !is_plain_name(file) {
        return Err(fault().found("a path").expected("the name of a file in the folder"));
    }
    let system = Crs::from_user(crs).map_err(|reason| {
        fault()
            .found(reason)
            .expected("a published system")
            .remedy("type its code, such as EPSG:2193")
    })?;
    let path = folder.join(file);
    if let Some(named) = found(&path)?.iter().find_map(|layer| layer.crs.as_deref()) {
        return Err(fault()
            .found(format!("{named}, which the file names itself"))
            .expected("a file that names no system")
            .remedy("if it is wrong, put it right in a GIS and save a copy"));
    }
    let ending = path.extension().and_then(|end| end.to_str()).unwrap_or_default().to_lowercase();
    let wkt =
        system.to_wkt().map_err(|reason| fault().found(reason).expected("a system in words"))?;
    let (target, text) = match ending.as_str() {
        "shp" => (path.with_extension("prj"), wkt),
        "tif" | "tiff" | "asc" | "img" | "png" | "jpg" => {
            let mut name = path.as_os_str().to_owned();
            name.push(".aux.xml");
            (
                PathBuf::from(name),
                format!("<PAMDataset>\n  <SRS>{}</SRS>\n</PAMDataset>\n", escaped(&wkt)),
            )
        }
        _ => {
            return Err(fault()
                .found(format!("a .{ending} that names no system"))
                .expected("a shapefile or a raster, which can be told in a file beside them")
                .remedy(format!("write it into a copy: `ogr2ogr -a_srs {crs} OUT.gpkg {file}`")));
        }
    };
    write_text(&target, &text, false)?;
    Ok(target.file_name().map_or(target.clone(), PathBuf::from))
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif};

    /// A place near the middle of the North Island. In EPSG:2193 the false origin is easting 1,600,000, northing
    /// 10,000,000 at 173° E on the equator (LINZ standard LINZS25002).
    fn lost(folder: &Folder) -> FoundLayer {
        let plain =
            Tif::new(4, 4, 10.0).transform([1_850_000.0, 10.0, 0.0, 5_700_000.0, 0.0, -10.0]);
        found(&plain.no_crs().write(folder, "lost.tif")).unwrap().remove(0)
    }

    #[test]
    fn the_system_that_fits_comes_first() {
        let folder = Folder::new();
        let layer = lost(&folder);
        assert_eq!((layer.crs.as_deref(), layer.on_globe), (None, None));
        let home = [175.9, -38.9, 176.0, -38.8];
        let trials = systems(&layer, &[], Some(home));
        assert_eq!(trials[0].crs, "EPSG:2193");
        assert!(trials[0].apart_km.unwrap() < 60.0, "{:?}", trials[0]);
        let other = trials.iter().find(|one| one.crs == "EPSG:3857").unwrap();
        assert!(other.apart_km.unwrap() > 10_000.0, "{other:?}");
        // Metres are no degrees.
        assert!(trials.iter().all(|one| one.crs != "EPSG:4326"));
    }

    #[test]
    fn a_raster_is_told_beside_itself_and_once() {
        let folder = Folder::new();
        let before = (lost(&folder), std::fs::read(folder.path("lost.tif")).unwrap());
        let written = tell_system(&folder.path(""), "lost.tif", "EPSG:2193").unwrap();
        assert_eq!(written, Path::new("lost.tif.aux.xml"));
        let after = &found(&folder.path("lost.tif")).unwrap()[0];
        assert!(after.crs_code.as_deref() == Some("EPSG:2193"), "{after:?}");
        assert_eq!(after.extent, before.0.extent);
        assert_eq!(std::fs::read(folder.path("lost.tif")).unwrap(), before.1);
        let again = tell_system(&folder.path(""), "lost.tif", "EPSG:27200").unwrap_err();
        assert!(again.found.contains("EPSG:2193"), "{again}");
    }

    #[test]
    fn what_cannot_be_told_is_refused() {
        let folder = Folder::new();
        lost(&folder);
        let unknown = tell_system(&folder.path(""), "lost.tif", "2193").unwrap_err();
        assert!(unknown.found.contains("did you mean `EPSG:2193`"), "{unknown}");
        let outside = tell_system(&folder.path(""), "../lost.tif", "EPSG:2193").unwrap_err();
        assert!(outside.expected.contains("name of a file"), "{outside}");
    }

    #[test]
    fn distances_are_along_the_ellipsoid() {
        // One degree of latitude at the equator on WGS 84: 110.574 km (Snyder 1987, Map Projections: A Working Manual,
        // table of lengths of a degree; from memory).
        let at = |south: f64| [0.0, south, 0.0, south];
        assert!((apart_km(at(-0.5), at(0.5)) - 110.574).abs() < 0.001);
    }
}
