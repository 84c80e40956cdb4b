//! Planted ground that hangs together.

use std::collections::BTreeMap;

use geo::{
    Area, BoundingRect, Contains, Coord, CoordsIter, InteriorPoint, MapCoords, MultiPolygon,
    Polygon, unary_union,
};

use crate::zones::Shape;

/// Planted ground that hangs together along edges, across the borders of zones.
#[derive(Debug)]
pub(super) struct Piece {
    /// Its outline.
    pub(super) geometry: MultiPolygon<f64>,
    /// Its map area, square metres.
    pub(super) plan_m2: f64,
    /// Width of the rectangle with the same area and length of border, metres.
    pub(super) mean_width_m: f64,
    /// Positions of its parts among those given.
    pub(super) parts: Vec<usize>,
}

/// Holes smaller than this, square metres, are the rounding of joined borders.
const NO_HOLE_M2: f64 = 0.01;

/// Joins parts that share some length of border; those that meet in a point alone stay apart. The largest is
/// the first.
///
/// Cost: n log n in the vertices, and each part held against the pieces around it.
pub(super) fn join(parts: &[&Polygon<f64>]) -> Vec<Piece> {
    let joined = unary_union(parts.iter().copied());
    // Joining moves corners by less than a micrometre: back to where they were drawn.
    let millimetre = |at: Coord<f64>| ((at.x * 1e3).round() as i64, (at.y * 1e3).round() as i64);
    let corners = parts.iter().flat_map(|part| part.coords_iter());
    let drawn: BTreeMap<(i64, i64), Coord<f64>> =
        corners.map(|corner| (millimetre(corner), corner)).collect();
    let back = |at: Coord<f64>| {
        let (x, y) = millimetre(at);
        let rounded = Coord { x: x as f64 / 1e3, y: y as f64 / 1e3 };
        drawn.get(&(x, y)).copied().unwrap_or(rounded)
    };
    let mut pieces: Vec<Piece> =
        joined.into_iter().map(|outline| piece(outline.map_coords(back))).collect();
    pieces.sort_by(|one, other| other.plan_m2.total_cmp(&one.plan_m2));
    for (at, part) in parts.iter().enumerate() {
        let Some(inside) = part.interior_point() else { continue };
        let holds = |piece: &&mut Piece| {
            let around = piece.geometry.bounding_rect();
            around.is_some_and(|around| around.contains(&inside))
                && piece.geometry.contains(&inside)
        };
        if let Some(piece) = pieces.iter_mut().find(holds) {
            piece.parts.push(at);
        }
    }
    pieces.retain(|piece| !piece.parts.is_empty());
    pieces
}

fn piece(outline: Polygon<f64>) -> Piece {
    let (shell, mut holes) = outline.into_inner();
    holes.retain(|hole| Polygon::new(hole.clone(), Vec::new()).unsigned_area() >= NO_HOLE_M2);
    let geometry = MultiPolygon::new(vec![Polygon::new(shell, holes)]);
    let mean_width_m = Shape::of(&geometry).mean_width_m;
    Piece { plan_m2: geometry.unsigned_area(), mean_width_m, parts: Vec::new(), geometry }
}
