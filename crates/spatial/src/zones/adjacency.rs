//! Which regions touch, and along how much of their borders.

use rayon::prelude::*;

use super::regions::NO_REGION;
use super::walls::Walls;

/// Rows that one thread looks through at a time.
const ROWS: usize = 128;

/// Two regions that touch, the lower number first, and their shared border in cell sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Edge {
    pub(super) pair: [u32; 2],
    pub(super) border: u32,
}

impl Edge {
    fn key(self) -> u64 {
        u64::from(self.pair[0]) << 32 | u64::from(self.pair[1])
    }
}

/// Every two regions that touch somewhere without a wall between them, in order.
///
/// Cost: a pass over the cells, then n log n in the places where regions change; all cores.
pub(super) fn edges(cells: &[u32], cols: usize, walls: &Walls) -> Vec<Edge> {
    if cols == 0 {
        return Vec::new();
    }
    let strips = cells.par_chunks(cols * ROWS).enumerate();
    let found: Vec<Vec<Edge>> = strips
        .map(|(number, strip)| {
            let mut edges = Vec::new();
            // The first row of a strip lies against the last of the one before it.
            let mut above = match number.checked_sub(1) {
                Some(_) => runs_of(&cells[(number * ROWS - 1) * cols..][..cols]),
                None => Vec::new(),
            };
            for (row, line) in strip.chunks(cols).enumerate() {
                let runs = runs_of(line);
                let at = (number * ROWS + row) * cols;
                meet_in_row(&mut edges, &runs, at, walls);
                meet_across(&mut edges, &above, &runs, at, walls);
                above = runs;
            }
            summed(edges)
        })
        .collect();
    summed(found.into_iter().flatten().collect())
}

/// Neighbouring cells of one row and one region: the first column, and the one after the last.
struct Run {
    first: u32,
    end: u32,
    region: u32,
}

/// The runs of a row, cells without a region too.
fn runs_of(line: &[u32]) -> Vec<Run> {
    /// Cells compared together: most are as the one before them.
    const LANES: usize = 8;
    let mut runs = Vec::new();
    let mut first = 0;
    while let Some(&region) = line.get(first) {
        let mut end = first + 1;
        while line
            .get(end..end + LANES)
            .is_some_and(|lane| lane.iter().fold(0, |differ, other| differ | (other ^ region)) == 0)
        {
            end += LANES;
        }
        while line.get(end) == Some(&region) {
            end += 1;
        }
        runs.push(Run { first: first as u32, end: end as u32, region });
        first = end;
    }
    runs
}

/// Counts the sides between neighbouring runs of the row that begins at a cell.
fn meet_in_row(edges: &mut Vec<Edge>, runs: &[Run], at: usize, walls: &Walls) {
    for pair in runs.windows(2) {
        if !walls.is_west(at + pair[1].first as usize) {
            meet(edges, pair[0].region, pair[1].region, 1);
        }
    }
}

/// Counts the sides between the runs of the row that begins at a cell and those above it.
fn meet_across(edges: &mut Vec<Edge>, above: &[Run], runs: &[Run], at: usize, walls: &Walls) {
    let mut next = 0;
    for run in runs {
        while let Some(north) = above.get(next) {
            let (first, end) = (run.first.max(north.first), run.end.min(north.end));
            if north.region != run.region {
                let open = (first..end).filter(|col| !walls.is_north(at + *col as usize));
                let border = if walls.are_none() { end - first } else { open.count() as u32 };
                meet(edges, run.region, north.region, border);
            }
            if north.end > run.end {
                break;
            }
            next += 1;
        }
    }
}

/// Counts some sides; as often as not it is the same border as the last.
#[inline]
fn meet(edges: &mut Vec<Edge>, one: u32, other: u32, border: u32) {
    if one == NO_REGION || other == NO_REGION || border == 0 {
        return;
    }
    let pair = [one.min(other), one.max(other)];
    match edges.last_mut() {
        Some(last) if last.pair == pair => last.border += border,
        _ => edges.push(Edge { pair, border }),
    }
}

/// Each pair once, in order, its borders added up.
pub(super) fn summed(mut edges: Vec<Edge>) -> Vec<Edge> {
    edges.par_sort_unstable_by_key(|edge| edge.key());
    edges.dedup_by(|next, kept| {
        let same = next.pair == kept.pair;
        if same {
            kept.border += next.border;
        }
        same
    });
    edges
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn borders_are_those_that_each_cell_has_to_its_west_and_north(
            cols in 1_usize..40,
            cells in prop::collection::vec(prop_oneof![1 => Just(0), 9 => 1_u32..4], 0..6000),
            units in prop::collection::vec(prop_oneof![9 => Just(1_u32), 1 => Just(2)], 6000),
            has_walls: bool,
        ) {
            let rows = cells.len() / cols;
            let cells = &cells[..rows * cols];
            let units = if has_walls { units } else { vec![1; 6000] };
            let walls = if has_walls { Walls::between(&units[..rows * cols], cols) } else { Walls::none() };
            let mut expected: BTreeMap<[u32; 2], u32> = BTreeMap::new();
            for at in 0..cells.len() {
                let west = (at % cols > 0).then(|| at.wrapping_sub(1));
                for other in [west, at.checked_sub(cols)].into_iter().flatten() {
                    let (one, two) = (cells[at].min(cells[other]), cells[at].max(cells[other]));
                    if one != NO_REGION && one != two && units[at] == units[other] {
                        *expected.entry([one, two]).or_default() += 1;
                    }
                }
            }
            let found = edges(cells, cols, &walls);
            let expected: Vec<Edge> =
                expected.into_iter().map(|(pair, border)| Edge { pair, border }).collect();
            prop_assert_eq!(found, expected);
        }
    }
}
