//! Two covers of the same ground laid over one another.
//!
//! Parts that are the same in both pair up as they are. The rest is cut along the borders of both at once, on the
//! 1 mm grid of crate `partition`, on which the borders of plans lie: pieces have neither gap nor overlap.

use std::collections::BTreeMap;

use geo::{BoundingRect, InteriorPoint, Intersects, MultiPolygon, Point};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use crate::problem::Problem;
use crate::zones::{from_partition, to_partition};

/// Ground that has one part in each cover.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// Position among the parts of the first; `None`: it lies outside them.
    pub(super) from: Option<usize>,
    /// Position among the parts of the second; `None`: it lies outside them.
    pub(super) to: Option<usize>,
    /// Whether the two parts are the same polygon.
    pub(super) is_same: bool,
    /// Where it is.
    pub(super) area: MultiPolygon<f64>,
}

/// The pieces of two covers, each of parts side by side; by part of the first, then of the second.
///
/// # Errors
/// When the covers lie more than 500 km apart.
pub(super) fn overlay(
    from: &[&MultiPolygon<f64>],
    to: &[&MultiPolygon<f64>],
) -> Result<Vec<Piece>, Problem> {
    let (mut pieces, rest) = paired(from, to);
    let [rest_from, rest_to] = &rest;
    let polygons = |parts: &[usize], cover: &[&MultiPolygon<f64>]| -> Vec<partition::Polygon> {
        parts.iter().flat_map(|at| to_partition(cover[*at])).collect()
    };
    let mut borders = polygons(rest_from, from);
    borders.extend(polygons(rest_to, to));
    let refused = |error: partition::PartitionError| {
        Problem::error("compare")
            .found(error.to_string())
            .expected("two plans of one property")
            .remedy("name two plans of the same ground")
    };
    let cut = partition::units(&borders, &[], &borders, 0.0).map_err(refused)?;
    let (tree_from, tree_to) = (tree(rest_from, from), tree(rest_to, to));
    let mut of_pair: BTreeMap<(Option<usize>, Option<usize>), Vec<partition::Polygon>> =
        BTreeMap::new();
    for unit in cut.polygons {
        let inside = from_partition(std::slice::from_ref(&unit)).interior_point();
        let Some(point) = inside else { continue }; // without area
        let pair = (holding(&tree_from, from, point), holding(&tree_to, to, point));
        if pair != (None, None) {
            of_pair.entry(pair).or_default().push(unit);
        }
    }
    // Beside a border that was led through a node of the grid a crumb may fall to the part that it touches: joined, a
    // piece has no border within.
    let (pairs, units): (Vec<_>, Vec<_>) = of_pair.into_iter().unzip();
    let joined = partition::snapped(&units).map_err(refused)?;
    let cut = pairs.into_iter().zip(joined).filter(|(_, polygons)| !polygons.is_empty());
    let cut = cut.map(|((from, to), polygons)| Piece {
        from,
        to,
        is_same: false,
        area: from_partition(&polygons),
    });
    pieces.extend(cut);
    // What lies outside the first comes last.
    pieces.sort_by_key(|piece| (piece.from.unwrap_or(usize::MAX), piece.to.unwrap_or(usize::MAX)));
    Ok(pieces)
}

/// Parts that are the same polygon in both, and the positions of the rest of each.
fn paired(from: &[&MultiPolygon<f64>], to: &[&MultiPolygon<f64>]) -> (Vec<Piece>, [Vec<usize>; 2]) {
    let mut alike: BTreeMap<[u64; 2], Vec<usize>> = BTreeMap::new();
    for (at, area) in to.iter().enumerate() {
        alike.entry(first_corner(area)).or_default().push(at);
    }
    let (mut pieces, mut taken, mut rest) = (Vec::new(), vec![false; to.len()], Vec::new());
    for (at, area) in from.iter().enumerate() {
        let candidates = alike.get(&first_corner(area)).map_or(&[][..], Vec::as_slice);
        match candidates.iter().find(|one| !taken[**one] && to[**one] == *area) {
            Some(one) => {
                taken[*one] = true;
                pieces.push(Piece {
                    from: Some(at),
                    to: Some(*one),
                    is_same: true,
                    area: (*area).clone(),
                });
            }
            None => rest.push(at),
        }
    }
    let rest_to = (0..to.len()).filter(|at| !taken[*at]).collect();
    (pieces, [rest, rest_to])
}

/// Few polygons share it.
fn first_corner(area: &MultiPolygon<f64>) -> [u64; 2] {
    let corner = area.iter().flat_map(|polygon| polygon.exterior().coords()).next();
    corner.map_or([0; 2], |corner| [corner.x.to_bits(), corner.y.to_bits()])
}

type Boxed = GeomWithData<Rectangle<[f64; 2]>, usize>;

fn tree(parts: &[usize], cover: &[&MultiPolygon<f64>]) -> RTree<Boxed> {
    let boxed = |at: &usize| {
        let bounds = cover[*at].bounding_rect()?;
        let corners = [bounds.min(), bounds.max()].map(|corner| [corner.x, corner.y]);
        Some(Boxed::new(Rectangle::from_corners(corners[0], corners[1]), *at))
    };
    RTree::bulk_load(parts.iter().filter_map(boxed).collect())
}

/// The part that a point lies in; of several, on a border, the first.
fn holding(tree: &RTree<Boxed>, cover: &[&MultiPolygon<f64>], point: Point<f64>) -> Option<usize> {
    let near = tree.locate_in_envelope_intersecting(&AABB::from_point([point.x(), point.y()]));
    near.map(|one| one.data).filter(|at| cover[*at].intersects(&point)).min()
}
