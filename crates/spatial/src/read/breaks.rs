//! Named breaks that people draw: lines and polygons that no zone crosses, and zones drawn by hand.

use geo::{Geometry, LineString, Polygon, Rect};

use super::crs::Crs;
use super::facts::LayerFacts;
use super::vector_file::{Feature, VectorFile};
use crate::problem::Problem;
use crate::site::VectorSource;

/// What people have drawn on the property, in the plan's coordinate system.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Breaks {
    /// Lines that zones keep to: ridges, fences.
    pub lines: Vec<LineString<f64>>,
    /// Polygons whose rings zones keep to: paddocks, management units.
    pub polygons: Vec<Polygon<f64>>,
    /// Zones as they are drawn; where two overlap the first wins.
    pub drawn: Vec<Polygon<f64>>,
}

impl Breaks {
    /// Whether nothing is drawn.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty() && self.polygons.is_empty() && self.drawn.is_empty()
    }
}

/// What a layer of breaks may hold.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Drawn {
    /// Lines and polygons.
    Breaks,
    /// Polygons alone.
    Zones,
}

impl Drawn {
    pub(super) fn role(self) -> &'static str {
        match self {
            Self::Breaks => "breaks",
            Self::Zones => "drawn_zones",
        }
    }
}

/// What came of reading one layer.
pub(super) struct Read {
    pub(super) lines: Vec<LineString<f64>>,
    pub(super) polygons: Vec<Polygon<f64>>,
    pub(super) facts: LayerFacts,
    pub(super) warnings: Vec<Problem>,
}

/// Reads what is drawn within reach.
///
/// # Errors
/// When the layer cannot be read, or a feature is of a kind that parts nothing.
pub(super) fn read(
    drawn: Drawn,
    source: &VectorSource,
    crs: &Crs,
    reach: Rect<f64>,
) -> Result<Read, Vec<Problem>> {
    let file = VectorFile::open(drawn.role(), source)?;
    let features = file.features(crs, None, Some(reach))?;
    let (mut lines, mut polygons, mut problems) = (Vec::new(), Vec::new(), Vec::new());
    for feature in &features {
        let lines_before = lines.len();
        let sound =
            feature.geometry.as_ref().is_none_or(|shape| take(shape, &mut lines, &mut polygons));
        if !sound || (drawn == Drawn::Zones && lines.len() > lines_before) {
            problems.push(unusable(&file, feature, drawn));
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut warnings: Vec<Problem> = file.datum_warning(crs).into_iter().collect();
    if lines.is_empty() && polygons.is_empty() {
        warnings.push(
            file.remark()
                .found(format!("nothing of layer `{}` lies on the property", file.layer))
                .expected("something that parts the property")
                .remedy("check the layer, its filter and its coordinate system"),
        );
    }
    let used = match drawn {
        Drawn::Breaks => "no zone crosses them",
        Drawn::Zones => "zones as they are drawn",
    };
    let facts = LayerFacts::of_vector(&file, features.len(), used);
    Ok(Read { lines, polygons, facts, warnings })
}

/// Takes a geometry apart; false where a part is neither line nor polygon.
pub(super) fn take(
    shape: &Geometry<f64>,
    lines: &mut Vec<LineString<f64>>,
    polygons: &mut Vec<Polygon<f64>>,
) -> bool {
    match shape {
        Geometry::LineString(line) => lines.push(line.clone()),
        Geometry::MultiLineString(many) => lines.extend(many.iter().cloned()),
        Geometry::Polygon(polygon) => polygons.push(polygon.clone()),
        Geometry::MultiPolygon(many) => polygons.extend(many.iter().cloned()),
        Geometry::GeometryCollection(parts) => {
            return parts.iter().all(|part| take(part, lines, polygons));
        }
        _ => return false,
    }
    true
}

fn unusable(file: &VectorFile, feature: &Feature, drawn: Drawn) -> Problem {
    let (found, expected) = match drawn {
        Drawn::Breaks => ("neither a line nor a polygon", "lines and polygons"),
        Drawn::Zones => ("not a polygon", "polygons"),
    };
    file.fault()
        .found(format!("feature {} of layer `{}` is {found}", feature.id, file.layer))
        .expected(expected)
        .remedy("take it out by `filter`, or draw it as one")
}
