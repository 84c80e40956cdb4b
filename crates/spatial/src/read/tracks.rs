//! Tracks and roads on which plants are brought.

use geo::{LineString, Rect};

use super::breaks::take;
use super::crs::Crs;
use super::facts::LayerFacts;
use super::keep_clear::grown;
use super::vector_file::{Feature, VectorFile};
use crate::problem::Problem;
use crate::site::VectorSource;

/// Name of the layer in facts, problems and the record of inputs.
pub(super) const ROLE: &str = "tracks";

/// How far beyond the property tracks are looked for, metres of map; our choice. What lies farther
/// off is a drive, not a place to carry plants from.
pub const TRACKS_WITHIN_M: f64 = 10_000.0;

/// What came of reading.
pub(super) struct Read {
    /// Whole lines, in the plan's coordinate system, in the order of the file.
    pub(super) lines: Vec<LineString<f64>>,
    pub(super) facts: LayerFacts,
    pub(super) warnings: Vec<Problem>,
}

/// Reads the tracks near the property, whose bounds are `frame`.
///
/// # Errors
/// When the layer cannot be read, or a feature is no line.
pub(super) fn read(
    source: &VectorSource,
    crs: &Crs,
    frame: Rect<f64>,
) -> Result<Read, Vec<Problem>> {
    let file = VectorFile::open(ROLE, source)?;
    let features = file.features(crs, None, Some(grown(frame, TRACKS_WITHIN_M)))?;
    let (mut lines, mut problems) = (Vec::new(), Vec::new());
    for feature in &features {
        let mut areas = Vec::new();
        let shape = feature.geometry.as_ref();
        if !shape.is_none_or(|shape| take(shape, &mut lines, &mut areas)) || !areas.is_empty() {
            problems.push(no_line(&file, feature));
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut warnings: Vec<Problem> = file.datum_warning(crs).into_iter().collect();
    if lines.is_empty() {
        warnings.push(
            file.remark()
                .found(format!("nothing of layer `{}` near the property", file.layer))
                .expected(format!("a track within {} km", TRACKS_WITHIN_M / 1000.0))
                .remedy(
                    "check the layer, its filter and its coordinate system; without a track the \
                     cards name no drop point",
                ),
        );
    }
    let used = "cards name the place on them nearest to each zone";
    let facts = LayerFacts::of_vector(&file, features.len(), used);
    Ok(Read { lines, facts, warnings })
}

fn no_line(file: &VectorFile, feature: &Feature) -> Problem {
    file.fault()
        .found(format!("feature {} of layer `{}` is not a line", feature.id, file.layer))
        .expected("tracks and roads as lines along their middle")
        .remedy("take it out by `filter`, or draw the track as a line")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, feature, rectangle};

    const WEST: f64 = 1_600_000.0;
    const NORTH: f64 = 5_400_000.0;

    fn of(kind: &str, coordinates: &str) -> Result<Read, Vec<Problem>> {
        let folder = Folder::new();
        let shape = feature(kind, coordinates, "");
        let file = folder.geojson("ways.geojson", Some("EPSG:2193"), &[&shape]);
        let source = VectorSource { file, layer: None, filter: None };
        let frame = Rect::new((WEST, NORTH), (WEST + 300.0, NORTH + 300.0));
        read(&source, &Crs::from_user("EPSG:2193").unwrap(), frame)
    }

    fn at(east: f64, north: f64) -> String {
        format!("[{},{}]", WEST + east, NORTH + north)
    }

    #[test]
    fn lines_are_kept_whole_and_in_order() {
        let first = format!("[{},{}]", at(-50.0, 10.0), at(900.0, 20.0));
        let second = format!("[{},{}]", at(0.0, 0.0), at(5.0, 5.0));
        let read = of("MultiLineString", &format!("[{first},{second}]")).unwrap();
        assert!(read.warnings.is_empty());
        assert_eq!(read.lines.len(), 2);
        assert_eq!(read.lines[0].0[1].x, WEST + 900.0);
        assert_eq!(read.facts.features, Some(1));
    }

    #[test]
    fn areas_and_points_are_refused_with_a_remedy() {
        let area = rectangle(WEST, NORTH, WEST + 9.0, NORTH + 9.0);
        for (kind, coordinates) in [("Polygon", area), ("Point", at(1.0, 1.0))] {
            let refused = of(kind, &coordinates).err().unwrap();
            assert!(refused[0].found.contains("is not a line"), "{}", refused[0]);
            assert!(refused[0].remedy.contains("as a line"), "{}", refused[0]);
        }
    }

    #[test]
    fn tracks_are_looked_for_ten_kilometres_off_and_no_farther() {
        let line = |north: f64| format!("[{},{}]", at(0.0, north), at(300.0, north));
        assert_eq!(of("LineString", &line(10_200.0)).unwrap().lines.len(), 1);
        let far = of("LineString", &line(10_400.0)).unwrap();
        assert_eq!(far.lines.len(), 0);
        assert!(far.warnings[0].expected.contains("within 10 km"), "{}", far.warnings[0]);
    }
}
