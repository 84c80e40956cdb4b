//! Straightened lines that cross, touch or have jumped over one another.

use crate::bins::Bins;
use crate::precision::Point;
use crate::segment::{Meeting, Segment};
use crate::straighten::Line;
use rayon::prelude::*;

/// The lines that meet another line, or themselves, elsewhere than at an end, and the lines that
/// passed over a whole island of others while they were straightened; in order, each once. Only
/// what has to do with a line that has `moved` is looked for.
///
/// Cost: near-linear in the lines that moved and those beside them, and a pass over all; all cores.
pub(crate) fn tangled(lines: &[Line], moved: &[bool]) -> Vec<u32> {
    let of = |wanted: bool| {
        let own = (0_u32..).zip(lines).filter(|(i, _)| moved[*i as usize] == wanted);
        own.flat_map(|(i, line)| segments_of(i, line)).collect::<Vec<_>>()
    };
    let (mut segments, others) = (of(true), of(false));
    let size = Bins::size_for(&segments);
    let bins = Bins::of_segments(&segments, size).with_those_beside(&others);
    let still = segments.len() as u32;
    segments.extend(others);
    let meet = bins.of_pairs(|i, j| {
        let (a, b) = (&segments[i as usize], &segments[j as usize]);
        let tangled =
            i.min(j) < still && matches!(a.meeting(b), Meeting::Crossing | Meeting::Touching);
        tangled.then_some([a.source, b.source])
    });
    let mut tangled = meet.concat();
    tangled.extend(jumpers(lines, moved, size));
    tangled.sort_unstable();
    tangled.dedup();
    tangled
}

fn segments_of(source: u32, line: &Line) -> impl Iterator<Item = Segment> {
    let path = line.path();
    path.zip(line.path().skip(1)).map(move |(from, to)| Segment { from, to, source })
}

/// Moved lines with the end of another between the way they took and the straight way. Every connected
/// piece of linework has such an end, and no straightening moves it.
fn jumpers(lines: &[Line], moved: &[bool], size: i64) -> Vec<u32> {
    let both_ends = |line: &Line| [line.points.first().copied(), line.points.last().copied()];
    let mut ends: Vec<Point> = lines.iter().flat_map(both_ends).flatten().collect();
    ends.sort_unstable();
    ends.dedup();
    let bins = Bins::of_points(&ends, size);
    let jumps = |line: &Line| {
        line.kept.windows(2).any(|span| {
            let way = &line.points[span[0] as usize..=span[1] as usize];
            way.len() > 2 && passes_over(way, &bins, &ends)
        })
    };
    let moved = lines.par_iter().enumerate().filter(|(index, _)| moved[*index]);
    moved.filter(|(_, line)| jumps(line)).map(|(index, _)| index as u32).collect()
}

/// Whether a way, closed by the straight line between its ends, encloses one of some points.
fn passes_over(way: &[Point], bins: &Bins, points: &[Point]) -> bool {
    let bound = |pick: fn(i64, i64) -> i64| {
        let both = |a: Point, b: &Point| Point { x: pick(a.x, b.x), y: pick(a.y, b.y) };
        way.iter().fold(way[0], both)
    };
    let mut enclosed = false;
    bins.each_within(bound(i64::min), bound(i64::max), |index| {
        let p = points[index as usize];
        let is_end = p == way[0] || p == way[way.len() - 1];
        enclosed |= !is_end && encloses(way, p);
    });
    enclosed
}

/// Whether a closed way goes round a point, by the parity of its crossings with a ray to the east.
fn encloses(way: &[Point], p: Point) -> bool {
    let mut before = way[way.len() - 1];
    let mut inside = false;
    for &after in way {
        let (low, high) = if before.y < after.y { (before, after) } else { (after, before) };
        if low.y <= p.y && p.y < high.y {
            inside ^= crate::precision::turn(low, high, p) > 0;
        }
        before = after;
    }
    inside
}
