//! Seed zones or ecological districts: whose seed belongs on which ground.

use geo::orient::{Direction, Orient};
use geo::{Area, BooleanOps, BoundingRect, Intersects, MultiPolygon, Point, Rect};

use super::crs::Crs;
use super::facts::LayerFacts;
use super::shape::polygons_of;
use super::vector_file::{Feature, VectorFile};
use crate::problem::Problem;
use crate::site::SeedZoneSource;

/// A mapped layer of seed zones, in the plan's coordinate system.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SeedZones {
    /// Name and ground of each feature, in the order of the file; a name may come several times.
    zones: Vec<(String, MultiPolygon<f64>)>,
    /// The parts of them around the property: whole ones may have coastlines.
    near: Vec<(String, MultiPolygon<f64>)>,
}

impl SeedZones {
    /// Features with their names, of which several may share one, and the bounds of the property.
    #[must_use]
    pub fn new(zones: Vec<(String, MultiPolygon<f64>)>, property: Rect<f64>) -> Self {
        let frame = MultiPolygon::new(vec![property.to_polygon()]).orient(Direction::Default);
        let part = |(name, zone): &(String, MultiPolygon<f64>)| {
            let touches = zone.bounding_rect()?.intersects(&property);
            let zone = touches.then(|| zone.orient(Direction::Default).intersection(&frame))?;
            (!zone.0.is_empty()).then(|| (name.clone(), zone))
        };
        let near = zones.iter().filter_map(part).collect();
        Self { zones, near }
    }

    /// Whether no seed zone is mapped.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.zones.is_empty()
    }

    /// The seed zone that holds most of some ground of the property, the first by name of several
    /// that hold as much; `None` where none does.
    ///
    /// Cost: one intersection for each seed zone that touches the property.
    #[must_use]
    pub fn most_of(&self, ground: &MultiPolygon<f64>) -> Option<&str> {
        let ground = ground.orient(Direction::Default);
        let mut held: Vec<(&str, f64)> = Vec::new();
        for (name, zone) in &self.near {
            let area_m2 = zone.intersection(&ground).unsigned_area();
            match held.iter_mut().find(|(known, _)| known == name) {
                Some((_, sum)) => *sum += area_m2,
                None => held.push((name, area_m2)),
            }
        }
        held.retain(|(_, area_m2)| *area_m2 > 0.0);
        held.sort_by(|(a, a_m2), (b, b_m2)| b_m2.total_cmp(a_m2).then_with(|| a.cmp(b)));
        held.first().map(|(name, _)| *name)
    }

    /// Every name, each once, in order.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = self.zones.iter().map(|(name, _)| name.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        names
    }

    /// The seed zone at a place, on the property or not; the first of the file where several lie
    /// over each other.
    #[must_use]
    pub fn at(&self, place: Point<f64>) -> Option<&str> {
        self.zones.iter().find(|(_, zone)| zone.intersects(&place)).map(|(name, _)| name.as_str())
    }
}

/// What came of reading.
pub(super) struct Read {
    pub(super) zones: SeedZones,
    pub(super) facts: LayerFacts,
    pub(super) warnings: Vec<Problem>,
}

/// Reads every seed zone that the filter takes, near the property or not: seed is gathered
/// elsewhere too. A feature without a shape is passed over.
///
/// # Errors
/// When the layer cannot be read, has no such field, a feature has no name or is no polygon, or no
/// seed zone touches the property.
pub(super) fn read(
    source: &SeedZoneSource,
    crs: &Crs,
    boundary: &MultiPolygon<f64>,
) -> Result<Read, Vec<Problem>> {
    let file = VectorFile::open("seed_zones", &source.place)?;
    let field = file.field(&source.field)?;
    let features = file.features(crs, Some(field), None)?;
    let (mut zones, mut problems) = (Vec::new(), Vec::new());
    for feature in &features {
        let Some(shape) = &feature.geometry else { continue };
        let (polygons, other) = polygons_of(shape);
        match &feature.value {
            _ if other => problems.push(no_polygon(&file, feature)),
            Some(name) => zones.push((name.clone(), MultiPolygon(polygons))),
            None => problems.push(nameless(&file, feature, &source.field)),
        }
    }
    if !problems.is_empty() {
        problems.truncate(10);
        return Err(problems);
    }
    let zones = boundary.bounding_rect().map(|frame| SeedZones::new(zones, frame));
    let zones = zones.unwrap_or_default();
    let Some(most) = zones.most_of(boundary) else {
        return Err(vec![
            file.fault()
                .found("no seed zone touches the property")
                .expected("the seed zone that the property lies in")
                .remedy("check the layer, its filter and its coordinate system"),
        ]);
    };
    let used = format!("home seed keeps to its seed zone; most of the property lies in {most}");
    let facts = LayerFacts::of_vector(&file, features.len(), &used);
    let warnings = file.datum_warning(crs).into_iter().collect();
    Ok(Read { zones, facts, warnings })
}

fn nameless(file: &VectorFile, feature: &Feature, field: &str) -> Problem {
    file.fault()
        .found(format!("feature {} of layer `{}` has no `{field}`", feature.id, file.layer))
        .expected("the name of its seed zone")
        .remedy("name it, or take it out by `filter`")
}

fn no_polygon(file: &VectorFile, feature: &Feature) -> Problem {
    file.fault()
        .found(format!("feature {} of layer `{}` is not a polygon", feature.id, file.layer))
        .expected("polygons")
        .remedy("take it out by `filter`, or name the layer that holds the polygons")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, feature, rectangle};
    use crate::site::VectorSource;

    fn nztm() -> Crs {
        Crs::from_user("EPSG:2193").unwrap()
    }

    fn square(west: f64, side: f64) -> MultiPolygon<f64> {
        MultiPolygon::new(vec![Rect::new((west, 0.0), (west + side, side)).to_polygon()])
    }

    fn read_features(features: &[&str], field: &str) -> Result<Read, Vec<Problem>> {
        let folder = Folder::new();
        let file = folder.geojson("seed.geojson", Some("EPSG:2193"), features);
        let place = VectorSource { file, layer: None, filter: None };
        read(&SeedZoneSource { place, field: field.to_owned() }, &nztm(), &square(0.0, 100.0))
    }

    #[test]
    fn ground_lies_in_the_zone_that_holds_most_of_it() {
        let zone = |name: &str, west, side| (name.to_owned(), square(west, side));
        let all = vec![
            zone("Hills", -1000.0, 1040.0), // reaches 40 m into the property
            zone("Coast", 40.0, 30.0),      // 30 × 30 m
            zone("Coast", 70.0, 400.0),
            zone("Far", 5_000.0, 10.0),
        ];
        let zones = SeedZones::new(all, Rect::new((0.0, 0.0), (100.0, 100.0)));
        // 40 of 100 m are Hills'; Coast has 30 × 30 and 30 × 100 m in two features
        assert_eq!(zones.most_of(&square(0.0, 100.0)), Some("Hills"));
        assert_eq!(zones.most_of(&square(60.0, 40.0)), Some("Coast"));
        assert_eq!(zones.most_of(&square(40.0, 20.0)), Some("Coast"));
        assert_eq!(zones.most_of(&square(900.0, 10.0)), None);
        assert_eq!(zones.at(Point::new(5_001.0, 1.0)), Some("Far"));
        assert_eq!(zones.at(Point::new(-5_000.0, 1.0)), None);
        let twins = vec![zone("B", 0.0, 50.0), zone("A", 50.0, 50.0)];
        let twins = SeedZones::new(twins, Rect::new((0.0, 0.0), (100.0, 50.0)));
        assert_eq!(twins.most_of(&square(0.0, 100.0)), Some("A"), "by name where alike");
    }

    #[test]
    fn the_way_a_ring_runs_does_not_matter() {
        let turned = square(0.0, 100.0).orient(Direction::Reversed);
        let bounds = Rect::new((0.0, 0.0), (100.0, 100.0));
        let zones = SeedZones::new(vec![("Hills".to_owned(), turned.clone())], bounds);
        assert_eq!(zones.most_of(&square(10.0, 5.0)), Some("Hills"));
        assert_eq!(zones.most_of(&turned), Some("Hills"));
    }

    #[test]
    fn a_layer_is_read_with_what_lies_far_away() {
        let near = feature("Polygon", &rectangle(-10.0, -10.0, 60.0, 110.0), r#""name":"Hills""#);
        let far = feature("Polygon", &rectangle(9e3, 9e3, 9.9e3, 9.9e3), r#""name":"Coast""#);
        let read = read_features(&[&near, &far], "name").unwrap_or_else(|all| panic!("{all:?}"));
        assert_eq!(read.zones.at(Point::new(9.5e3, 9.5e3)), Some("Coast"));
        assert_eq!(read.facts.features, Some(2));
        assert!(read.facts.used.ends_with("lies in Hills"), "{}", read.facts.used);
    }

    #[test]
    fn a_layer_that_says_nothing_here_is_refused() {
        let told = |features: &[&str], field: &str| {
            let problems = read_features(features, field).err().expect("refused");
            problems[0].to_string()
        };
        let far = feature("Polygon", &rectangle(9e3, 9e3, 9.9e3, 9.9e3), r#""name":"Coast""#);
        assert!(told(&[&far], "name").contains("no seed zone touches the property"));
        assert!(told(&[&far], "nam").contains("did you mean `name`?"));
        let nameless = feature("Polygon", &rectangle(0.0, 0.0, 9.0, 9.0), r#""name":" ""#);
        assert!(told(&[&nameless], "name").contains("has no `name`"));
        let line = feature("LineString", "[[0,0],[9,9]]", r#""name":"Coast""#);
        assert!(told(&[&line], "name").contains("is not a polygon"));
    }
}
