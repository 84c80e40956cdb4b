//! Polygons that share borders, moved onto the precision grid together.

use std::collections::BTreeMap;

use crate::arrangement::{Arrangement, Mark};
use crate::dissolve::Dissolved;
use crate::error::PartitionError;
use crate::faces::{Faces, UNBOUNDED};
use crate::labelling::places;
use crate::layers::Polygon;
use crate::linework::Linework;
use crate::noding::node;
use crate::precision::PrecisionGrid;

/// Moves areas, each some polygons side by side, onto the 1 mm grid, so that their borders still
/// fit each other there.
///
/// Rounding each corner by itself is not enough: a corner may come to lie on the other side of a
/// border that passes close by, and then two areas overlap. Here the borders of all areas are cut and
/// led through shared nodes by snap rounding, so that areas without gap or overlap stay so, every
/// corner on a border is a corner of both neighbours, and no border moves by more than half a step
/// and then half a step again where it passes a node. What is thinner than the grid vanishes, which
/// may leave an area without polygons. Areas that are the same stay so; of what others share, by
/// rounding or before, the first keeps it.
///
/// # Units
/// Metres, or any other unit of which a thousandth is the wanted step.
///
/// # Cost
/// Near-linear in the linework; cores share the noding.
///
/// # Errors
/// When a point is not a number or lies more than 500 km from the first.
///
/// ```
/// use partition::{Polygon, snapped};
///
/// // a corner of the second square lies 0.2 mm inside the first, on a border without a corner there
/// let square = |west: f64, east: f64, extra: &[[f64; 2]]| {
///     let mut shell = vec![[west, 0.0], [east, 0.0], [east, 10.0], [west, 10.0]];
///     shell.extend(extra);
///     vec![Polygon { shell, holes: vec![] }]
/// };
/// let areas = snapped(&[square(0.0, 10.0, &[]), square(10.0, 20.0, &[[9.9998, 5.0]])])?;
/// assert!(areas.iter().all(|area| area[0].shell.contains(&[10.0, 5.0])));
/// # Ok::<(), partition::PartitionError>(())
/// ```
pub fn snapped(areas: &[Vec<Polygon>]) -> Result<Vec<Vec<Polygon>>, PartitionError> {
    let first = areas.iter().flatten().flat_map(|polygon| &polygon.shell).next().copied();
    let around = PrecisionGrid::around;
    let grid = around(first.unwrap_or_default()).or_else(|| around([0.0; 2]));
    let Some(grid) = grid else { return Ok(vec![Vec::new(); areas.len()]) };

    let mut linework = Linework::default();
    // Areas that are the same are snapped once.
    let same = first_of_same(areas);
    for (position, polygons) in areas.iter().enumerate().filter(|(at, _)| same[*at] == *at) {
        for polygon in polygons {
            let refused = |point| PartitionError::OutOfReach { what: "area", position, point };
            linework.add_polygon(polygon, Mark::Unit(position as u32), &grid).map_err(refused)?;
        }
    }
    // All together: rounding can move a corner of one area over the border of another, and what
    // both then have must go to one of them.
    let arrangement = Arrangement::new(node(&linework.segments), &linework.sides);
    let faces = Faces::new(&arrangement.nodes, &arrangement.edges);
    let within = places(&arrangement, &faces).into_iter().map(|place| place.unit.map(u64::from));
    let mut keys: Vec<Option<u64>> = within.collect();
    keys[UNBOUNDED as usize] = None;
    let mut found = vec![Vec::new(); areas.len()];
    for piece in Dissolved::new(&arrangement, &faces, &keys).pieces_with_all_nodes(&grid) {
        found[piece.key as usize] = piece.polygons;
    }
    for (at, first) in same.into_iter().enumerate() {
        if first < at {
            let polygons = found[first].clone();
            found[at] = polygons;
        }
    }
    Ok(found)
}

/// For each area the first that is the same.
fn first_of_same(areas: &[Vec<Polygon>]) -> Vec<usize> {
    // Few areas share their first corner and its ring's length.
    let mut alike: BTreeMap<(usize, [u64; 2]), Vec<usize>> = BTreeMap::new();
    let first = |(at, area): (usize, &Vec<Polygon>)| {
        let shell = area.first().map_or(&[][..], |polygon| &polygon.shell);
        let corner = shell.first().map_or([0; 2], |corner| corner.map(f64::to_bits));
        let known = alike.entry((shell.len(), corner)).or_default();
        if let Some(one) = known.iter().find(|one| areas[**one] == *area) {
            return *one;
        }
        known.push(at);
        at
    };
    areas.iter().enumerate().map(first).collect()
}
