//! The surveyed boundary: straight fences from peg to peg, a ridge crest, a stream's middle.

use geo::{Area, Coord, LineString, Polygon, Simplify};

use crate::field::Field;
use crate::ground::Ground;
use crate::landform::Landform;
use crate::paths::cheapest_way;

/// The area wanted, hectares.
const WANTED_HA: f64 = 300.0;

/// Ground left around the property, metres.
const HALO_M: f64 = 165.0;

/// How the boundary gets to its next peg.
enum Leg {
    Fence,
    Crest,
    Stream,
}

/// Pegs clockwise from the north-west, metres east and south of the middle of the layers, each with the way
/// that the boundary comes to it from the one before.
const PEGS: [(f64, f64, Leg); 21] = [
    (-648.0, -778.0, Leg::Crest),
    (-490.0, -864.0, Leg::Fence),
    (-302.0, -886.0, Leg::Fence),
    (-88.0, -932.0, Leg::Fence),
    (140.0, -904.0, Leg::Fence),
    (325.0, -929.0, Leg::Fence),
    (500.0, -874.0, Leg::Fence),
    (862.0, -534.0, Leg::Crest),
    (834.0, -352.0, Leg::Fence),
    (912.0, -195.0, Leg::Fence),
    (931.0, 90.0, Leg::Fence),
    (862.0, 302.0, Leg::Fence),
    (890.0, 523.0, Leg::Fence),
    (692.0, 875.0, Leg::Fence),
    (222.0, 574.0, Leg::Stream),
    (60.0, 742.0, Leg::Fence),
    (-98.0, 918.0, Leg::Fence),
    (-424.0, 866.0, Leg::Fence),
    (-670.0, 732.0, Leg::Fence),
    (-912.0, 622.0, Leg::Fence),
    (-930.0, -70.0, Leg::Fence),
];

/// The boundary whose area is nearest to the one wanted.
pub(crate) fn survey(ground: &Ground, landform: &Landform, stream: &LineString) -> Polygon {
    let crests = landform.prominence_m.resampled(10.0);
    let sizes = (-20..=20).map(|step| 1.0 + f64::from(step) * 0.004);
    let tries = sizes.map(|size| walk(ground, &crests, stream, size));
    let miss = |p: &Polygon| (p.unsigned_area() / 10_000.0 - WANTED_HA).abs();
    let best = tries.min_by(|a, b| miss(a).total_cmp(&miss(b)));
    best.unwrap_or_else(|| walk(ground, &crests, stream, 1.0))
}

/// The boundary with its pegs moved away from or towards the middle.
fn walk(ground: &Ground, crests: &Field, stream: &LineString, size: f64) -> Polygon {
    let elevation = &ground.elevation;
    let pegs = PEGS.map(|(x, y, _)| elevation.middle() + Coord { x, y } * size);
    let mut line: Vec<Coord> = Vec::new();
    for (i, (.., leg)) in PEGS.iter().enumerate() {
        let (from, to) = (pegs[(i + pegs.len() - 1) % pegs.len()], pegs[i]);
        match leg {
            Leg::Fence => line.push(to),
            Leg::Crest => {
                let way = cheapest_way(crests, from, to, |_, j, _| {
                    let crest = (-crests.values[j] / 5.0).exp();
                    if near_rim(crests, j) { 50.0 + crest } else { crest }
                });
                line.extend(way.simplify(5.0).0.into_iter().skip(1));
            }
            Leg::Stream => {
                line.pop();
                line.extend(along(stream, from, to).simplify(2.5).0);
            }
        }
    }
    for vertex in &mut line {
        *vertex =
            Coord { x: (vertex.x * 10.0).round() / 10.0, y: (vertex.y * 10.0).round() / 10.0 };
    }
    Polygon::new(LineString(line), Vec::new())
}

/// Whether a cell is too near the rim for ground to be left around the property.
fn near_rim(field: &Field, index: usize) -> bool {
    let (x, y) = field.centre(index);
    let side = field.cols as f64 * field.cell;
    [x, y, side - x, side - y].into_iter().any(|distance| distance < HALO_M)
}

/// The part of a line between the vertices nearest to two positions, in that direction.
fn along(line: &LineString, from: Coord, to: Coord) -> LineString {
    let nearest = |at: Coord| {
        let distance = |c: &Coord| (c.x - at.x).hypot(c.y - at.y);
        let by_distance =
            |a: &usize, b: &usize| distance(&line.0[*a]).total_cmp(&distance(&line.0[*b]));
        (0..line.0.len()).min_by(by_distance).unwrap_or(0)
    };
    let (start, end) = (nearest(from), nearest(to));
    let mut part = line.0[start.min(end)..=start.max(end)].to_vec();
    if start > end {
        part.reverse();
    }
    LineString(part)
}
