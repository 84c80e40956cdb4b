//! Polygons that share borders, moved onto the precision grid together.

use rayon::prelude::*;

use crate::arrangement::{Arrangement, Mark};
use crate::dissolve::Dissolved;
use crate::error::PartitionError;
use crate::faces::{Faces, UNBOUNDED};
use crate::labelling::places;
use crate::layers::Polygon;
use crate::linework::Linework;
use crate::noding::{Fragment, node};
use crate::precision::PrecisionGrid;

/// Moves areas, each some polygons side by side, onto the 1 mm grid, so that their borders still
/// fit each other there.
///
/// Rounding each corner by itself is not enough: a corner may come to lie on the other side of a
/// border that passes close by, and then two areas overlap. Here the borders of all areas are cut and
/// led through shared nodes by snap rounding, so that areas without gap or overlap stay so, every
/// corner on a border is a corner of both neighbours, and no border moves by more than half a step
/// and then half a step again where it passes a node. What is thinner than the grid vanishes, which
/// may leave an area without polygons. Areas may also overlap, or be the same.
///
/// # Units
/// Metres, or any other unit of which a thousandth is the wanted step.
///
/// # Cost
/// Near-linear in the linework; cores share the noding and the areas.
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
    // For each area the first of its sources, and one more at the end.
    let mut firsts = Vec::with_capacity(areas.len() + 1);
    for (position, polygons) in areas.iter().enumerate() {
        firsts.push(linework.sides.len() as u32);
        for polygon in polygons {
            let refused = |point| PartitionError::OutOfReach { what: "area", position, point };
            linework.add_polygon(polygon, Mark::Unit(0), &grid).map_err(refused)?;
        }
    }
    firsts.push(linework.sides.len() as u32);
    // In the order of their sources, as the segments are.
    let fragments = node(&linework.segments);
    let own = |ends: &[u32]| {
        let place = |source: u32| fragments.partition_point(|one| one.source < source);
        area(&fragments[place(ends[0])..place(ends[1])], &linework, &grid)
    };
    Ok(firsts.par_windows(2).map(own).collect())
}

/// The polygons of one area, from its own pieces of border.
fn area(fragments: &[Fragment], linework: &Linework, grid: &PrecisionGrid) -> Vec<Polygon> {
    let arrangement = Arrangement::new(fragments.to_vec(), &linework.sides);
    let faces = Faces::new(&arrangement.nodes, &arrangement.edges);
    let within = places(&arrangement, &faces).into_iter().map(|place| place.unit.map(u64::from));
    let mut keys: Vec<Option<u64>> = within.collect();
    keys[UNBOUNDED as usize] = None;
    let pieces = Dissolved::new(&arrangement, &faces, &keys).pieces_with_all_nodes(grid);
    pieces.into_iter().flat_map(|piece| piece.polygons).collect()
}
