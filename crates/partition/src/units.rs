//! Ground cut into units by break lines and break polygons.

use crate::arrangement::{Arrangement, Mark};
use crate::dissolve::Dissolved;
use crate::error::PartitionError;
use crate::faces::{Faces, twin};
use crate::labelling::{Place, places};
use crate::layers::Polygon;
use crate::linework::Linework;
use crate::noding::{Fragment, node};
use crate::precision::{PrecisionGrid, length_m, steps};
use crate::slivers::{SliverRule, hand_over};

/// The units that breaks part ground into.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Units {
    /// The units, by their westernmost (of these the southernmost) point; each is connected.
    pub polygons: Vec<Polygon>,
    /// For each unit the break polygon that it lies in, by position; of several the first.
    pub within: Vec<Option<u32>>,
    /// For each break line how much of it parts nothing.
    pub idle_lines: Vec<Idle>,
    /// For each break polygon how much of its rings parts nothing.
    pub idle_polygons: Vec<Idle>,
    /// How many slivers were joined to a neighbour.
    pub slivers: usize,
}

/// The length of a break that parts nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Idle {
    /// Inside the boundary, in metres: loose ends, links to something that hangs loose itself.
    pub inside_m: f64,
    /// Outside the boundary, in metres.
    pub outside_m: f64,
}

/// Cuts the ground inside a boundary along lines and along the rings of polygons.
///
/// Two places are in one unit if a way leads from one to the other inside the boundary without
/// crossing a break, so a line that ends inside, or that links the boundary to a ring within, cuts
/// nothing off and leaves no trace but in the lengths given back with the units. A line that is meant
/// to end on another must reach it within half a millimetre, or run past it.
///
/// A break that was drawn a hair beside the boundary, or beside another break, leaves a strip between
/// them that nobody meant. So a unit narrower than `least_width_m` (twice its area by the length of its
/// border, which is the width of a strip) is a sliver: it is joined to the neighbour with the longest
/// shared border, the smallest first. 0 keeps them all.
///
/// The boundary is the union of its polygons. Lines may cross, touch and repeat each other and
/// themselves; neither their order nor their direction makes a difference. All meet on a grid of 1 mm:
/// where two cross, both pass the nearest node of it, and so does all that comes within half a
/// millimetre of that node. The units have neither gap nor overlap, and every vertex on a border is
/// a vertex of both neighbours.
///
/// # Units
/// Metres, in any plane coordinate system whose x runs east and y north.
///
/// # Cost
/// Near-linear in the linework and its crossings; the same input gives the same output.
///
/// # Errors
/// When a point is not a number or lies more than 500 km from the first point of the boundary.
///
/// ```
/// use partition::{Polygon, units};
///
/// // 100 m by 100 m, and a fence that runs past it to the west and ends inside
/// let corners = vec![[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]];
/// let boundary = [Polygon { shell: corners, holes: vec![] }];
/// let fence = vec![[-5.0, 40.0], [90.0, 40.0]];
/// let parted = units(&boundary, &[fence.clone()], &[], 0.0)?;
/// assert_eq!(parted.polygons.len(), 1);
/// assert_eq!((parted.idle_lines[0].inside_m, parted.idle_lines[0].outside_m), (90.0, 5.0));
///
/// // a second fence closes it off
/// let parted = units(&boundary, &[fence, vec![[80.0, 0.0], [80.0, 100.0]]], &[], 0.0)?;
/// let areas: Vec<_> = parted.polygons.iter().map(Polygon::area_m2).collect();
/// assert_eq!(areas, [3200.0, 4800.0, 2000.0]);
/// assert_eq!(parted.idle_lines[0].inside_m, 10.0);
/// # Ok::<(), partition::PartitionError>(())
/// ```
pub fn units(
    boundary: &[Polygon],
    lines: &[Vec<[f64; 2]>],
    polygons: &[Polygon],
    least_width_m: f64,
) -> Result<Units, PartitionError> {
    let mut first = boundary.iter().chain(polygons).flat_map(|p| &p.shell);
    let first = first.next().or_else(|| lines.iter().flatten().next()).copied();
    // should the first point be out of reach, then adding it names it
    let around = PrecisionGrid::around;
    let grid = around(first.unwrap_or_default()).or_else(|| around([0.0; 2]));
    let Some(grid) = grid else { return Ok(Units::default()) };

    let (linework, breaks) = gathered(boundary, lines, polygons, &grid)?;
    let fragments = node(&linework.segments);
    let arrangement = Arrangement::whole(fragments.clone(), &linework.sides);
    let cut = Cut::new(&arrangement, &fragments, &breaks);

    let (unit_of, slivers) = cut.without_slivers(&arrangement, steps(least_width_m));
    let dissolved = Dissolved::new(&arrangement, &cut.faces, &unit_of);
    let pieces = dissolved.pieces(&grid).into_iter();
    let mut parted: Vec<_> = pieces
        .flat_map(|piece| piece.polygons.into_iter().map(move |polygon| (polygon, piece.key)))
        .map(|(polygon, unit)| (polygon, cut.within[unit as usize]))
        .collect();
    parted.sort_by(|(a, _), (b, _)| {
        let order = a.shell.iter().flatten().partial_cmp(b.shell.iter().flatten());
        order.unwrap_or(std::cmp::Ordering::Equal)
    });
    let (units, within) = parted.into_iter().unzip();
    let mut idle_lines = cut.idle(&arrangement, lines.len() + polygons.len());
    let idle_polygons = idle_lines.split_off(lines.len());
    Ok(Units { polygons: units, within, idle_lines, idle_polygons, slivers })
}

/// All linework, and for each source the break that it belongs to: lines first, then polygons. The
/// boundary is layer 0.
fn gathered(
    boundary: &[Polygon],
    lines: &[Vec<[f64; 2]>],
    polygons: &[Polygon],
    grid: &PrecisionGrid,
) -> Result<(Linework, Vec<Option<u32>>), PartitionError> {
    let refused = |what, position| {
        move |point: [f64; 2]| PartitionError::OutOfReach { what, position, point }
    };
    let mut linework = Linework::default();
    for (i, polygon) in boundary.iter().enumerate() {
        let added = linework.add_polygon(polygon, Mark::Layer(0), grid);
        added.map_err(refused("boundary polygon", i))?;
    }
    let mut breaks = vec![None; linework.sides.len()];
    for (i, line) in lines.iter().enumerate() {
        linework.add_line(line, grid).map_err(refused("break line", i))?;
        breaks.resize(linework.sides.len(), Some(i as u32));
    }
    for (i, polygon) in polygons.iter().enumerate() {
        let added = linework.add_polygon(polygon, Mark::Unit(i as u32), grid);
        added.map_err(refused("break polygon", i))?;
        breaks.resize(linework.sides.len(), Some((lines.len() + i) as u32));
    }
    Ok((linework, breaks))
}

/// Faces gathered into units.
struct Cut {
    faces: Faces,
    /// The unit of each face; `None` outside the boundary.
    unit_of: Vec<Option<u64>>,
    /// The break polygon of each unit.
    within: Vec<Option<u32>>,
    /// Each break with each edge that it runs along.
    ways: Vec<(u32, u32)>,
}

impl Cut {
    fn new(arrangement: &Arrangement, fragments: &[Fragment], breaks: &[Option<u32>]) -> Self {
        let way = |fragment: &Fragment| {
            Some((breaks[fragment.source as usize]?, arrangement.edge_of(fragment)?))
        };
        let ways: Vec<_> = fragments.iter().filter_map(way).collect();
        let mut closed = vec![false; arrangement.edges.len()];
        for &(_, edge) in &ways {
            closed[edge as usize] = true;
        }

        let faces = Faces::new(&arrangement.nodes, &arrangement.edges);
        let places = places(arrangement, &faces);
        let mut cut = Self { unit_of: vec![None; faces.count()], faces, within: Vec::new(), ways };
        for face in 0..places.len() as u32 {
            if places[face as usize].layers.contains(0) && cut.unit_of[face as usize].is_none() {
                cut.spread(face, &places, &closed);
            }
        }
        cut
    }

    /// Makes a unit of all ground inside the boundary that can be reached from a face over edges
    /// without a break. No ring of a break polygon is crossed, so all of it lies in the same ones.
    fn spread(&mut self, start: u32, places: &[Place], closed: &[bool]) {
        let unit = Some(self.within.len() as u64);
        self.within.push(places[start as usize].unit);
        self.unit_of[start as usize] = unit;
        let mut open = vec![start];
        while let Some(face) = open.pop() {
            for half_edge in self.faces.half_edges(face) {
                let across = self.faces.left_of(twin(half_edge)) as usize;
                let inside = places[across].layers.contains(0);
                if inside && !closed[half_edge as usize / 2] && self.unit_of[across].is_none() {
                    self.unit_of[across] = unit;
                    open.push(across as u32);
                }
            }
        }
    }

    /// The unit of each face once those narrower than so many steps are joined to neighbours, and how
    /// many were.
    fn without_slivers(
        &self,
        arrangement: &Arrangement,
        least_width: f64,
    ) -> (Vec<Option<u64>>, usize) {
        let units = self.within.len();
        let (mut doubled_areas, mut borders) = (vec![0_i128; units], vec![0.0; units]);
        for (face, unit) in (0_u32..).zip(&self.unit_of) {
            if let Some(unit) = unit {
                doubled_areas[*unit as usize] += self.faces.doubled_area(face);
            }
        }
        for edge in 0..arrangement.edges.len() as u32 {
            let sides =
                [2 * edge, 2 * edge + 1].map(|h| self.unit_of[self.faces.left_of(h) as usize]);
            if sides[0] != sides[1] {
                for unit in sides.into_iter().flatten() {
                    borders[unit as usize] += arrangement.length(edge);
                }
            }
        }
        let is_sliver = |unit: u64| {
            (doubled_areas[unit as usize] as f64) < least_width * borders[unit as usize]
        };
        let mut unit_of = self.unit_of.clone();
        let rule = SliverRule {
            smaller_than_m2: 0.0,
            may_join: &|_, _| true,
            must_leave: &is_sliver,
            left_as: &|unit| unit,
        };
        hand_over(&mut unit_of, arrangement, &self.faces, &rule);
        let mut left = vec![false; units];
        for unit in unit_of.iter().flatten() {
            left[*unit as usize] = true;
        }
        (unit_of, left.into_iter().filter(|left| !left).count())
    }

    /// The length of each break that has the same on both sides.
    fn idle(&self, arrangement: &Arrangement, breaks: usize) -> Vec<Idle> {
        let mut idle = vec![Idle::default(); breaks];
        for &(of, edge) in &self.ways {
            let [left, right] =
                [2 * edge, 2 * edge + 1].map(|h| self.unit_of[self.faces.left_of(h) as usize]);
            if left == right {
                let Idle { inside_m, outside_m } = &mut idle[of as usize];
                let sum = if left.is_some() { inside_m } else { outside_m };
                *sum += length_m(arrangement.length(edge));
            }
        }
        idle
    }
}
