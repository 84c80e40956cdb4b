//! Setbacks: features buffered as vectors, so that their edges owe nothing to the grid.

use geo::buffer::{Buffer, BufferStyle, LineCap, LineJoin};
use geo::{
    Area, BooleanOps, BoundingRect, Coord, CoordsIter, Line, LineString, MultiPolygon, Polygon,
    Rect, unary_union,
};

use super::crs::Crs;
use super::facts::LayerFacts;
use super::shape::{Part, sort_out};
use super::vector_file::{Feature, VectorFile};
use crate::problem::Problem;
use crate::site::KeepClearRule;

/// Where one rule keeps ground clear.
#[derive(Debug, Clone, PartialEq)]
pub struct KeepClearArea {
    /// Position of the rule in the site.
    pub rule: usize,
    /// The ground kept clear, near the property; nothing when no feature is in reach.
    pub geometry: MultiPolygon<f64>,
    /// The ground, kept clear or not, where planters ask first.
    pub ask: Option<MultiPolygon<f64>>,
}

/// The most that a round corner's straight pieces lie inside the true arc, metres. Straight edges
/// are exact.
pub const ARC_TOLERANCE_M: f64 = 0.01;

/// Wider than this a `width_field` is taken to be in other units, metres.
const MAX_WIDTH_M: f64 = 5_000.0;

/// Beyond this many vertices a polygon is first cut to the reach.
const CUT_VERTICES: usize = 2_000;

/// Edges longer than this are first cut to the reach, metres: buffers round to the billionth part of a shape.
const LONG_EDGE_M: f64 = 100_000.0;

/// What came of one rule.
pub(super) struct Read {
    pub(super) area: KeepClearArea,
    pub(super) facts: LayerFacts,
    pub(super) warnings: Vec<Problem>,
}

/// The name of a rule's layer in facts and problems.
pub(super) fn role_of(rule: &KeepClearRule) -> String {
    format!("keep_clear {}", rule.name)
}

/// Reads the features of a rule and buffers them, as far as `reach` (the property with its halo).
///
/// # Errors
/// When the layer cannot be read, a width is no length, or nothing could be kept clear because
/// the distance is 0 and the features have no area.
pub(super) fn read(
    index: usize,
    rule: &KeepClearRule,
    crs: &Crs,
    reach: Rect<f64>,
) -> Result<Read, Vec<Problem>> {
    let file = VectorFile::open(&role_of(rule), &rule.source)?;
    let field = rule.width_field.as_deref().map(|name| file.field(name)).transpose()?;
    let distance = rule.distance.0;
    let ask_within = rule.ask_within.map(|within| within.0);
    let widest = if field.is_some() { MAX_WIDTH_M / 2.0 } else { 0.0 };
    let search = grown(reach, distance.max(ask_within.unwrap_or(0.0)) + widest + 1.0);
    let features = file.features(crs, field, Some(search))?;
    let mut warnings: Vec<Problem> = file.datum_warning(crs).into_iter().collect();
    warnings.extend(emptiness(&file, &features)?);
    let widths = widths(&file, rule, &features, &mut warnings)?;
    let clear = buffered(&features, &widths, distance, reach);
    flatness(&file, &features, &widths, distance)?;
    let ask = ask_within.map(|within| buffered(&features, &widths, within, reach));
    let used = used(features.len(), rule);
    let facts = LayerFacts::of_vector(&file, features.len(), &used);
    Ok(Read { area: KeepClearArea { rule: index, geometry: clear, ask }, facts, warnings })
}

fn used(features: usize, rule: &KeepClearRule) -> String {
    let width = rule
        .width_field
        .as_ref()
        .map_or_else(String::new, |field| format!(" and half of `{field}`"));
    format!("{features} features within reach, kept clear to {} m{width}", rule.distance.0)
}

/// Warnings about features without a shape, and about a layer without features.
fn emptiness(file: &VectorFile, features: &[Feature]) -> Result<Vec<Problem>, Problem> {
    let mut warnings: Vec<Problem> = features
        .iter()
        .filter(|feature| feature.geometry.is_none())
        .take(10)
        .map(|feature| {
            file.remark()
                .found(format!("feature {} of layer `{}`: no geometry", feature.id, file.layer))
                .expected("a point, line or polygon")
                .remedy("nothing is kept clear for it: draw or remove the feature")
        })
        .collect();
    if features.is_empty() && file.count()? == 0 {
        warnings.push(
            file.remark()
                .found(format!("no feature in layer `{}`", file.layer))
                .expected("features to keep clear of")
                .remedy("check the layer and its filter: nothing is kept clear by this rule"),
        );
    }
    Ok(warnings)
}

/// Half of each feature's width in metres; 0 where the rule names no field or it is not known.
fn widths(
    file: &VectorFile,
    rule: &KeepClearRule,
    features: &[Feature],
    warnings: &mut Vec<Problem>,
) -> Result<Vec<f64>, Vec<Problem>> {
    let Some(field) = &rule.width_field else { return Ok(vec![0.0; features.len()]) };
    let mut problems = Vec::new();
    let mut unknown = Vec::new();
    let mut half = Vec::with_capacity(features.len());
    for feature in features {
        let Some(text) = &feature.value else {
            unknown.push(feature.id.as_str());
            half.push(0.0);
            continue;
        };
        match text.parse::<f64>() {
            Ok(width) if (0.0..=MAX_WIDTH_M).contains(&width) => half.push(width / 2.0),
            _ => problems.push(
                file.fault()
                    .found(format!("feature {}: `{field}` is `{text}`", feature.id))
                    .expected(format!("a width in metres from 0 to {MAX_WIDTH_M}"))
                    .remedy("mend the value; decimals are written with a point"),
            ),
        }
    }
    if !unknown.is_empty() {
        let some: Vec<_> = unknown.iter().take(5).copied().collect();
        let found = format!(
            "no width in `{field}` for {} features within reach ({}{})",
            unknown.len(),
            some.join(", "),
            if unknown.len() > some.len() { ", …" } else { "" }
        );
        warnings.push(
            file.remark()
                .found(found)
                .expected("the full width in metres")
                .remedy("only the distance is kept clear there, measured from the line"),
        );
    }
    if problems.is_empty() { Ok(half) } else { Err(problems) }
}

/// Refuses a rule that could keep nothing clear.
fn flatness(
    file: &VectorFile,
    features: &[Feature],
    widths: &[f64],
    distance: f64,
) -> Result<(), Problem> {
    if distance > 0.0 {
        return Ok(());
    }
    let flat = features.iter().zip(widths).find(|(feature, half)| {
        let mut flat = false;
        if let Some(geometry) = &feature.geometry {
            sort_out(geometry, &mut |part| {
                flat |= match part {
                    Part::Polygon(_) => false,
                    Part::Line(_) => **half <= 0.0,
                    Part::Point(_) => true,
                };
            });
        }
        flat
    });
    let Some((feature, _)) = flat else { return Ok(()) };
    Err(file
        .fault()
        .found(format!("a distance of 0 m around a point or line (feature {})", feature.id))
        .expected("a distance above 0 for points and lines")
        .remedy("set `distance_m`, or name a `width_field` for lines"))
}

/// The union of all features grown by a distance (and half the width, for lines), cut to `reach`.
fn buffered(
    features: &[Feature],
    widths: &[f64],
    distance: f64,
    reach: Rect<f64>,
) -> MultiPolygon<f64> {
    let mut grown_parts: Vec<MultiPolygon<f64>> = Vec::new();
    for (feature, half) in features.iter().zip(widths) {
        let Some(geometry) = &feature.geometry else { continue };
        sort_out(geometry, &mut |part| match part {
            Part::Polygon(one) => grown_parts.push(around_polygon(one, distance, reach)),
            Part::Line(one) => grown_parts.push(around_line(one, distance + half, reach)),
            Part::Point(one) => grown_parts.push(one.buffer_with_style(style(distance))),
        });
    }
    let frame = MultiPolygon(vec![reach.to_polygon()]);
    let touching = |part: &MultiPolygon<f64>| {
        part.bounding_rect().is_some_and(|own| {
            own.min().x < reach.max().x
                && own.max().x > reach.min().x
                && own.min().y < reach.max().y
                && own.max().y > reach.min().y
        })
    };
    grown_parts.retain(touching);
    if grown_parts.is_empty() {
        return MultiPolygon(Vec::new());
    }
    unary_union(&grown_parts).intersection(&frame)
}

/// Round joins and caps whose pieces keep within [`ARC_TOLERANCE_M`] of the arc.
fn style(distance: f64) -> BufferStyle<f64> {
    let cosine = (1.0 - ARC_TOLERANCE_M / distance.max(ARC_TOLERANCE_M)).clamp(0.0, 1.0);
    let step = (2.0 * cosine.acos()).clamp(0.005, 0.2);
    BufferStyle::new(distance).line_join(LineJoin::Round(step)).line_cap(LineCap::Round(step))
}

fn around_line(line: &LineString<f64>, distance: f64, reach: Rect<f64>) -> MultiPolygon<f64> {
    let near = grown(reach, distance + 1.0);
    let pieces =
        runs_near(line, near).into_iter().map(|run| run.buffer_with_style(style(distance)));
    let pieces: Vec<_> = pieces.collect();
    match pieces.as_slice() {
        [] => MultiPolygon(Vec::new()),
        [only] => only.clone(),
        many => unary_union(many),
    }
}

/// The runs of a line whose edges may come within a rectangle: a river of a whole country is not
/// buffered for one farm.
fn runs_near(line: &LineString<f64>, near: Rect<f64>) -> Vec<LineString<f64>> {
    if line.0.len() < 2 {
        return vec![line.clone()];
    }
    let mut runs: Vec<Vec<Coord<f64>>> = Vec::new();
    let mut open = false;
    for edge in line.lines() {
        let (low, high) = (edge.bounding_rect().min(), edge.bounding_rect().max());
        let meets = low.x <= near.max().x
            && high.x >= near.min().x
            && low.y <= near.max().y
            && high.y >= near.min().y;
        let is_long = edge.delta().x.hypot(edge.delta().y) > LONG_EDGE_M;
        let part = if is_long { cut(edge, near) } else { meets.then_some(edge) };
        if let Some(part) = part {
            match runs.last_mut().filter(|run| open && run.last() == Some(&part.start)) {
                Some(run) => run.push(part.end),
                None => runs.push(vec![part.start, part.end]),
            }
        }
        open = part.is_some();
    }
    runs.into_iter().map(LineString).collect()
}

/// The part of an edge within a rectangle, by the share of it at which it crosses each side (Liang & Barsky 1984, ACM
/// Transactions on Graphics 3:1; from memory).
fn cut(edge: Line<f64>, within: Rect<f64>) -> Option<Line<f64>> {
    let (from, by) = (edge.start, edge.delta());
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    for (from, by, low, high) in [
        (from.x, by.x, within.min().x, within.max().x),
        (from.y, by.y, within.min().y, within.max().y),
    ] {
        if by == 0.0 {
            if from < low || from > high {
                return None;
            }
            continue;
        }
        let [one, other] = [(low - from) / by, (high - from) / by];
        first = first.max(one.min(other));
        last = last.min(one.max(other));
    }
    let at = |share: f64| match share {
        0.0 => edge.start,
        1.0 => edge.end,
        share => from + by * share,
    };
    (first <= last).then(|| Line::new(at(first), at(last)))
}

fn around_polygon(polygon: &Polygon<f64>, distance: f64, reach: Rect<f64>) -> MultiPolygon<f64> {
    // The union with nothing resolves rings that cross themselves, by the odd–even rule.
    let mut whole = polygon.union(&MultiPolygon(Vec::new()));
    if whole.unsigned_area() <= 0.0 {
        // A polygon without area is still something to keep clear of.
        return around_line(polygon.exterior(), distance, reach);
    }
    if whole.coords_count() > CUT_VERTICES {
        let near = grown(reach, distance + 1.0).to_polygon();
        whole = whole.intersection(&MultiPolygon(vec![near]));
    }
    if distance > 0.0 { whole.buffer_with_style(style(distance)) } else { whole }
}

/// A rectangle moved outwards on every side.
pub(super) fn grown(rect: Rect<f64>, by: f64) -> Rect<f64> {
    let by = Coord { x: by, y: by };
    Rect::new(rect.min() - by, rect.max() + by)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, feature, rectangle};
    use crate::site::VectorSource;
    use crate::units::Metres;
    use geo::{Contains, Distance, Euclidean, Geometry, Point, Validation};
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn rule(distance: f64, width_field: Option<&str>, ask: Option<f64>) -> KeepClearRule {
        KeepClearRule {
            name: "stream".to_owned(),
            source: VectorSource { file: "none".into(), layer: None, filter: None },
            distance: Metres(distance),
            width_field: width_field.map(str::to_owned),
            reason: String::new(),
            authority: String::new(),
            date: String::new(),
            ask_within: ask.map(Metres),
            caution: None,
        }
    }

    fn reach() -> Rect<f64> {
        Rect::new((1_600_000.0, 5_399_000.0), (1_601_000.0, 5_400_000.0))
    }

    fn kept(features: &[&str], mut rule: KeepClearRule) -> Result<Read, Vec<Problem>> {
        let folder = Folder::new();
        rule.source.file = folder.geojson("f.geojson", Some("EPSG:2193"), features);
        read(3, &rule, &Crs::from_user("EPSG:2193").unwrap(), reach())
    }

    fn area(features: &[&str], rule: KeepClearRule) -> f64 {
        let read = kept(features, rule).unwrap();
        assert!(read.area.geometry.is_valid());
        read.area.geometry.unsigned_area()
    }

    /// Square metres that arcs of one radius, a whole circle in all, may lack.
    fn slack(radius: f64) -> f64 {
        2.0 * PI * radius * ARC_TOLERANCE_M
    }

    #[test]
    fn points_lines_and_polygons_have_the_area_of_geometry() {
        let point = feature("Point", "[1600500,5399500]", "");
        let found = area(&[&point], rule(20.0, None, None));
        assert!((0.0..slack(20.0)).contains(&(PI * 400.0 - found)), "{found}");

        let line = feature("LineString", "[[1600400,5399500],[1600600,5399500]]", "");
        let found = area(&[&line], rule(10.0, None, None));
        assert!((0.0..slack(10.0)).contains(&(PI * 100.0 + 4_000.0 - found)), "{found}");

        let square = rectangle(1_600_400.0, 5_399_400.0, 1_600_500.0, 5_399_500.0);
        let polygon = feature("Polygon", &square, "");
        let found = area(&[&polygon], rule(5.0, None, None));
        let whole = 10_000.0 + 4.0 * 500.0 + PI * 25.0;
        assert!((0.0..slack(5.0)).contains(&(whole - found)), "{found}");
        assert!((area(&[&polygon], rule(0.0, None, None)) - 10_000.0).abs() < 1e-3);
    }

    #[test]
    fn half_the_width_is_added_to_lines() {
        let line =
            feature("LineString", "[[1600400,5399500],[1600600,5399500]]", r#""width_m":6.0"#);
        let found = area(&[&line], rule(7.0, Some("width_m"), None));
        assert!((PI * 100.0 + 4_000.0 - found).abs() < slack(10.0), "{found}");
        let without =
            feature("LineString", "[[1600400,5399500],[1600600,5399500]]", r#""width_m":null"#);
        let read = kept(&[&line, &without], rule(7.0, Some("width_m"), None)).unwrap();
        assert!(read.warnings[0].found.contains("no width"), "{}", read.warnings[0]);
        let bad = feature("LineString", "[[1600400,5399500],[1600600,5399500]]", r#""width_m":-1"#);
        assert!(kept(&[&bad], rule(7.0, Some("width_m"), None)).is_err());
    }

    #[test]
    fn the_zone_to_ask_in_lies_around_the_ground_kept_clear() {
        let point = feature("Point", "[1600500,5399500]", "");
        let area = kept(&[&point], rule(10.0, None, Some(50.0))).unwrap().area;
        assert_eq!(area.rule, 3);
        let ask = area.ask.unwrap().unsigned_area();
        assert!((PI * 2_500.0 - ask).abs() < slack(50.0), "{ask}");
    }

    #[test]
    fn features_out_of_reach_keep_nothing_clear_and_edges_are_cut() {
        let far = feature("Point", "[1500000,5399500]", "");
        let read = kept(&[&far], rule(10.0, None, None)).unwrap();
        assert!(read.area.geometry.0.is_empty());
        assert!(read.warnings.is_empty());
        let long = feature("LineString", "[[1500000,5399500],[1700000,5399500]]", "");
        let found = area(&[&long], rule(10.0, None, None));
        assert!((found - 20_000.0).abs() < 0.01, "{found}");
    }

    /// One end of a line is far beyond the map, as a slip of the pen has it: beside the rest nothing changes.
    #[test]
    fn a_line_that_goes_very_far_keeps_its_distance() {
        for far_end in ["1600500,19000000", "-15000000,5399500"] {
            let line = feature("LineString", &format!("[[1600500,5399500],[{far_end}]]"), "");
            let found = area(&[&line], rule(10.0, None, None));
            let expected = 20.0 * 500.0 + PI * 100.0 / 2.0;
            assert!((0.0..slack(10.0)).contains(&(expected - found)), "{far_end}: {found}");
        }
        // There and back again, and the thousandth part of it on the same rays.
        let far = "[[-1600000,5399000],[1600500,5399500],[-1600000,5400000]]";
        let near = "[[1597299.5,5399499.5],[1600500,5399500],[1597299.5,5399500.5]]";
        let [far, near] = [far, near].map(|shape| feature("LineString", shape, ""));
        let [found, expected] = [far, near].map(|line| area(&[&line], rule(10.0, None, None)));
        assert!((found - expected).abs() < 0.01, "{found} beside {expected}");
    }

    proptest! {
        /// What is cut off lies without, and what stays within, on the edge.
        #[test]
        fn an_edge_is_cut_at_the_sides(
            ends in prop::array::uniform4(-30_i32..30),
        ) {
            let [x1, y1, x2, y2] = ends.map(f64::from);
            let edge = Line::new((x1, y1), (x2, y2));
            let frame = Rect::new((-10.0, -10.0), (10.0, 10.0));
            let part = cut(edge, frame);
            for step in 0..=200 {
                let at = edge.start + edge.delta() * (f64::from(step) / 200.0);
                let is_in = at.x.abs() <= 10.0 - 1e-9 && at.y.abs() <= 10.0 - 1e-9;
                let apart = part.map_or(f64::INFINITY, |part| {
                    if part.start == part.end {
                        Euclidean.distance(Point::from(at), Point::from(part.start))
                    } else {
                        Euclidean.distance(&Point::from(at), &part)
                    }
                });
                prop_assert!(!is_in || apart < 1e-9, "{at:?} within is lost");
                let is_out = at.x.abs() > 10.0 + 1e-9 || at.y.abs() > 10.0 + 1e-9;
                prop_assert!(!is_out || apart > 0.0, "{at:?} without is kept");
            }
        }
    }

    #[test]
    fn rules_that_keep_nothing_clear_are_found_out() {
        let point = feature("Point", "[1600500,5399500]", "");
        let problems = kept(&[&point], rule(0.0, None, None)).err().unwrap();
        assert!(problems[0].remedy.contains("distance_m"), "{}", problems[0]);
        let read = kept(&[], rule(10.0, None, None)).unwrap();
        assert!(read.warnings[0].found.contains("no feature"), "{}", read.warnings[0]);
        let null = r#"{"type":"Feature","properties":{},"geometry":null}"#;
        let read = kept(&[&point, null], rule(10.0, None, None)).unwrap();
        assert!(read.warnings[0].found.contains("no geometry"), "{}", read.warnings[0]);
    }

    #[test]
    fn broken_polygons_are_kept_clear_of_all_the_same() {
        let tie = "[[[1600400,5399400],[1600500,5399500],[1600500,5399400],[1600400,5399500],\
                   [1600400,5399400]]]";
        let found = kept(&[&feature("Polygon", tie, "")], rule(5.0, None, None)).unwrap();
        assert!(found.area.geometry.unsigned_area() > 5_000.0);
        let flat = "[[[1600400,5399400],[1600500,5399400],[1600400,5399400],[1600400,5399400]]]";
        let found = area(&[&feature("Polygon", flat, "")], rule(5.0, None, None));
        assert!((found - (1_000.0 + PI * 25.0)).abs() < 1.0, "{found}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn no_point_nearer_than_the_distance_is_missed_and_none_farther_is_taken(
            ring in proptest::collection::vec((300.0..700.0_f64, 300.0..700.0_f64), 2..7),
            places in proptest::collection::vec((200.0..800.0_f64, 200.0..800.0_f64), 40),
            distance in 2.0..60.0_f64,
        ) {
            let at = |(x, y): &(f64, f64)| (1_600_000.0 + x, 5_399_000.0 + y);
            let line = LineString::from(ring.iter().map(at).collect::<Vec<_>>());
            let one = Feature {
                id: String::new(),
                geometry: Some(Geometry::LineString(line.clone())),
                value: None,
            };
            let clear = buffered(&[one], &[0.0], distance, reach());
            for place in &places {
                let point = Point::from(at(place));
                let apart = Euclidean.distance(&point, &line);
                let inside = clear.contains(&point);
                prop_assert!(inside || apart > distance - ARC_TOLERANCE_M - 1e-3, "{} m missed", apart);
                prop_assert!(!inside || apart < distance + 1e-3, "{} m taken", apart);
            }
        }
    }
}
