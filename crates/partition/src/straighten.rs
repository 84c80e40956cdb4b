//! Arcs straightened once, so that both neighbours keep the same border.
//!
//! An arc first runs through the middles of the lattice edges instead of the corners: a flight of
//! equal steps becomes one straight line that takes as much from one side as from the other, and
//! no two arcs can meet, for each keeps to its own edges. Then points within the tolerance are left
//! out (Douglas & Peucker 1973, Algorithms for the reduction of the number of points required to
//! represent a digitized line). Arcs that would come to cross, touch or jump over another are
//! straightened less, until none does.

use rayon::prelude::*;

use crate::lattice::{Arc, Lattice};
use crate::precision::{Point, PrecisionGrid, turn};
use crate::tangles::tangled;

/// A straightened arc.
pub(crate) struct Line {
    /// All points the line could run through; a closed line repeats its first.
    pub(crate) points: Vec<Point>,
    /// Positions in `points` that it does run through; the first and last point always.
    pub(crate) kept: Vec<u32>,
    /// The greatest distance from a point left out to the line, in steps.
    tolerance: i64,
}

impl Line {
    /// The points that the line runs through.
    pub(crate) fn path(&self) -> impl Iterator<Item = Point> {
        self.kept.iter().map(|&i| self.points[i as usize])
    }

    /// Whether it ends where it begins.
    fn is_closed(&self) -> bool {
        self.points.first() == self.points.last()
    }

    fn simplify(&mut self) {
        self.kept = kept(&self.points, self.is_closed(), self.tolerance);
    }
}

/// Straightens all arcs to a tolerance in steps; 0 only leaves out points on a straight run.
/// `None` if a node is out of reach.
///
/// The lattice's own edge is left as it is. No point moves by more than the tolerance plus half a cell, ends of arcs do not move, and the
/// direction an arc was traced in makes no difference.
pub(crate) fn straighten(
    arcs: &[Arc],
    lattice: &Lattice,
    grid: &PrecisionGrid,
    tolerance: i64,
) -> Option<Vec<Line>> {
    let place = |p: &[i64; 2]| grid.snap(lattice.at_half_cells(*p));
    let line = |arc: &Arc| {
        let is_edge = arc.left.is_none() || arc.right.is_none();
        let tolerance = if is_edge { 0 } else { tolerance };
        let halves = if tolerance > 0 { middles(arc) } else { corners(arc) };
        let mut points = halves.iter().map(place).collect::<Option<Vec<_>>>()?;
        if arc.is_ring {
            start_at_lowest(&mut points);
        }
        let mut line = Line { points, kept: Vec::new(), tolerance };
        line.simplify();
        Some(line)
    };
    let mut lines = arcs.par_iter().map(line).collect::<Option<Vec<_>>>()?;
    if tolerance > 0 {
        untangle(&mut lines, finest_tolerance(lattice));
    }
    Some(lines)
}

/// Halves the tolerance of tangled lines until none is tangled; below `finest` it becomes zero.
///
/// Lines that are tangled and at rest have none left to give up, so after the first time only what
/// has to do with a line that was eased can be tangled anew.
fn untangle(lines: &mut [Line], finest: i64) {
    let mut moved = vec![true; lines.len()];
    while moved.contains(&true) {
        let tangled = tangled(lines, &moved);
        moved.fill(false);
        for index in tangled {
            let line = &mut lines[index as usize];
            if line.tolerance > 0 {
                line.tolerance = Some(line.tolerance / 2).filter(|&t| t >= finest).unwrap_or(0);
                line.simplify();
                moved[index as usize] = true;
            }
        }
    }
}

/// A quarter of the shorter side of a cell, in steps.
fn finest_tolerance(lattice: &Lattice) -> i64 {
    (crate::precision::steps(lattice.cell_width.min(lattice.cell_height)) / 4.0) as i64
}

fn corners(arc: &Arc) -> Vec<[i64; 2]> {
    arc.corners.iter().map(|n| n.map(|v| 2 * i64::from(v))).collect()
}

/// The middles of the first and last lattice edge of each straight run, between the end nodes;
/// a ring has no end nodes.
fn middles(arc: &Arc) -> Vec<[i64; 2]> {
    let corners = corners(arc);
    let mut points = Vec::with_capacity(2 * corners.len());
    if !arc.is_ring {
        points.extend(corners.first());
    }
    for run in corners.windows(2) {
        let [[east, south], [to_east, to_south]] = [run[0], run[1]];
        let (along_east, along_south) = ((to_east - east).signum(), (to_south - south).signum());
        points.push([east + along_east, south + along_south]);
        points.push([to_east - along_east, to_south - along_south]);
    }
    points.dedup();
    points.extend(if arc.is_ring { points.first().copied() } else { corners.last().copied() });
    points
}

/// Turns a closed ring so that it starts and ends at its lowest point.
fn start_at_lowest(points: &mut Vec<Point>) {
    points.pop();
    let lowest = (0..points.len()).min_by_key(|&i| points[i]).unwrap_or(0);
    points.rotate_left(lowest);
    points.extend(points.first().copied());
}

/// The positions that a simplified path keeps. A closed path also keeps the point farthest from its
/// ends and the one that stands out most on either way there, so that it encloses something.
fn kept(points: &[Point], is_closed: bool, tolerance: i64) -> Vec<u32> {
    let last = points.len() - 1;
    let mut keep = vec![false; points.len()];
    let mut open = Vec::new();
    if is_closed && last > 3 {
        let away =
            |&i: &usize| (points[0].distance_squared(points[i]), std::cmp::Reverse(points[i]));
        let far = (1..last).max_by_key(away).unwrap_or(last);
        let halves = [(0, far), (far, last)];
        keep[far] = true;
        for (start, end) in halves {
            if let Some((out, _)) = farthest(points, start, end) {
                keep[out] = true;
                open.extend([(start, out), (out, end)]);
            }
        }
    } else if is_closed {
        keep.fill(true);
    } else {
        open.push((0, last));
    }
    (keep[0], keep[last]) = (true, true);
    while let Some((start, end)) = open.pop() {
        if let Some((out, offset)) = farthest(points, start, end)
            && offset.exceeds(tolerance)
        {
            keep[out] = true;
            open.extend([(start, out), (out, end)]);
        }
    }
    (0..=last as u32).filter(|&i| keep[i as usize]).collect()
}

/// The point strictly between two positions that lies farthest from the straight line between them;
/// of equals the lowest, so that the direction makes no difference.
fn farthest(points: &[Point], start: usize, end: usize) -> Option<(usize, Offset)> {
    let (a, b) = (points[start], points[end]);
    let base = b.distance_squared(a);
    let (east, north) = (b.x - a.x, b.y - a.y);
    // Beside the line the turn tells points apart, and beyond its ends the distance to the nearer:
    // both in whole numbers of one word.
    let mut most = [(0_u64, None), (0_u64, None)];
    for (i, p) in points.iter().enumerate().take(end).skip(start + 1) {
        let (x, y) = (p.x - a.x, p.y - a.y);
        let along = x * east + y * north;
        let beside = base > 0 && (0..=base).contains(&along);
        let away = if beside {
            (east * y - north * x).unsigned_abs()
        } else {
            p.distance_squared(a).min(p.distance_squared(b)).unsigned_abs()
        };
        let (known, place) = &mut most[usize::from(beside)];
        if place.is_none_or(|place: usize| away > *known || (away == *known && *p < points[place]))
        {
            (*known, *place) = (away, Some(i));
        }
    }
    most.into_iter()
        .filter_map(|(_, place)| place)
        .map(|i| (i, Offset::new(points[i], a, b)))
        .max_by_key(|(i, offset)| (offset.scaled, std::cmp::Reverse(points[*i])))
}

/// The squared distance from a point to a straight line between two others, as an exact fraction.
struct Offset {
    scaled: i128,
    divisor: i128,
}

impl Offset {
    fn new(p: Point, a: Point, b: Point) -> Self {
        let base = b.distance_squared(a);
        if base == 0 {
            return Self { scaled: p.distance_squared(a).into(), divisor: 1 };
        }
        let along = (p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y);
        let scaled = if (0..=base).contains(&along) {
            i128::from(turn(a, b, p)).pow(2)
        } else {
            i128::from(p.distance_squared(a).min(p.distance_squared(b))) * i128::from(base)
        };
        Self { scaled, divisor: base.into() }
    }

    fn exceeds(&self, tolerance: i64) -> bool {
        self.scaled > i128::from(tolerance).pow(2) * self.divisor
    }
}

#[cfg(test)]
mod tests;
