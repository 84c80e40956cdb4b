//! Ways across the ground of least cost (Dijkstra 1959): tracks, and boundaries along a crest.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use geo::{ChaikinSmoothing, Coord, LineString, Simplify};

use crate::field::Field;

/// The cheapest way between two positions over `ground`, smoothed; `cost` is a multiple of
/// distance for the step from one cell to a neighbour.
pub(crate) fn cheapest_way(
    ground: &Field,
    from: Coord,
    to: Coord,
    cost: impl Fn(usize, usize, f64) -> f64,
) -> LineString {
    let (start, goal) = (ground.cell_at(from.x, from.y), ground.cell_at(to.x, to.y));
    let mut spent = vec![f64::INFINITY; ground.values.len()];
    let mut came_from = vec![start; ground.values.len()];
    let mut open = BinaryHeap::new();
    spent[start] = 0.0;
    open.push(Reverse((0, start)));
    while let Some(Reverse((_, at))) = open.pop() {
        if at == goal {
            break;
        }
        for (next, distance) in ground.neighbours(at) {
            let total = spent[at] + distance * cost(at, next, distance);
            if total < spent[next] {
                spent[next] = total;
                came_from[next] = at;
                open.push(Reverse((total.to_bits(), next))); // not negative: in order
            }
        }
    }
    let mut points = vec![to];
    let mut at = goal;
    while at != start {
        at = came_from[at];
        points.push(ground.centre(at).into());
    }
    points.pop();
    points.push(from);
    points.reverse();
    LineString(eased(points)).simplify(ground.cell * 0.1).chaikin_smoothing(1)
}

/// Turns of one cell smoothed away; both ends stay.
fn eased(mut points: Vec<Coord>) -> Vec<Coord> {
    for _ in 0..6 {
        let before = points.clone();
        for i in 1..points.len().saturating_sub(1) {
            points[i] = (before[i - 1] + before[i] * 2.0 + before[i + 1]) / 4.0;
        }
    }
    points
}
