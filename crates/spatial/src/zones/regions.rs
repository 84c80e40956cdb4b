//! 4-connected regions of equal cells.

use rayon::prelude::*;

use super::walls::Walls;

/// The region of cells that belong to none, and the value of such cells.
pub(super) const NO_REGION: u32 = 0;

/// Rows that one thread labels by itself, at least.
const ROWS: usize = 64;

/// The region of each cell, numbered from 1 in the order in which a scan from the north-west meets
/// them, and how many there are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Regions {
    pub(super) cells: Vec<u32>,
    pub(super) count: usize,
}

/// Numbers the 4-connected regions of equal values; cells of value [`NO_REGION`] are in none, and
/// no region reaches across a wall.
///
/// `value` gives the value of each of `size` cells, `cols` in a row. Cost: two passes over the cells on all cores (union–find in
/// strips that are joined afterwards); beside the result a number for each region of a strip.
///
/// # References
/// He, Chao & Suzuki 2008, A run-based two-scan labeling algorithm (the two scans; the strips and
/// the numbering are ours).
pub(super) fn label_regions(
    value: impl Fn(usize) -> u32 + Sync,
    size: usize,
    cols: usize,
    walls: &Walls,
) -> Regions {
    let mut cells = vec![NO_REGION; size];
    let rows = size.checked_div(cols).unwrap_or(0);
    let strip = cols * rows.div_ceil(4 * rayon::current_num_threads()).max(ROWS);
    if strip == 0 {
        return Regions { cells, count: 0 };
    }
    let strips: Vec<Vec<u32>> = cells
        .par_chunks_mut(strip)
        .enumerate()
        .map(|(number, cells)| label_strip(&value, cols, walls, number * strip, cells))
        .collect();
    let mut parents = vec![NO_REGION];
    let mut firsts = Vec::with_capacity(strips.len());
    for strip in strips {
        let first = parents.len() as u32 - 1;
        firsts.push(first);
        parents.extend(strip[1..].iter().map(|parent| first + parent));
    }
    for (number, first) in firsts.iter().enumerate().skip(1) {
        let start = number * strip;
        for at in start..(start + cols).min(size) {
            let north = at - cols;
            let own = value(at);
            if own != NO_REGION && own == value(north) && !walls.is_north(at) {
                union(&mut parents, firsts[number - 1] + cells[north], first + cells[at]);
            }
        }
    }
    let (numbers, count) = numbered(&parents);
    cells.par_chunks_mut(strip).zip(firsts).for_each(|(cells, first)| {
        for cell in cells.iter_mut().filter(|cell| **cell != NO_REGION) {
            *cell = numbers[(first + *cell) as usize];
        }
    });
    Regions { cells, count }
}

/// Labels the cells of one strip from 1; the parent of each label, position 0 unused.
fn label_strip(
    value: &impl Fn(usize) -> u32,
    cols: usize,
    walls: &Walls,
    start: usize,
    cells: &mut [u32],
) -> Vec<u32> {
    let mut parents = vec![NO_REGION];
    let mut above = vec![NO_REGION; cols];
    for (row, first) in (0..cells.len()).step_by(cols).enumerate() {
        let mut before = NO_REGION;
        for (col, above) in above.iter_mut().enumerate() {
            let (own, at) = (first + col, start + first + col);
            let here = value(at);
            let west = before == here && col > 0 && !walls.is_west(at);
            let north = *above == here && row > 0 && !walls.is_north(at);
            (before, *above) = (here, here);
            if here == NO_REGION {
                continue;
            }
            cells[own] = match (west, north) {
                (true, true) => {
                    let (west, north) = (cells[own - 1], cells[own - cols]);
                    if west == north { west } else { union(&mut parents, west, north) }
                }
                (true, false) => cells[own - 1],
                (false, true) => cells[own - cols],
                (false, false) => {
                    parents.push(parents.len() as u32);
                    parents.len() as u32 - 1
                }
            };
        }
    }
    parents
}

/// Root of a region, with the path to it halved.
fn root(parents: &mut [u32], mut one: u32) -> u32 {
    while parents[one as usize] != one {
        let up = parents[parents[one as usize] as usize];
        parents[one as usize] = up;
        one = up;
    }
    one
}

/// Joins two regions under the older root.
fn union(parents: &mut [u32], a: u32, b: u32) -> u32 {
    let (a, b) = (root(parents, a), root(parents, b));
    let (older, newer) = (a.min(b), a.max(b));
    parents[newer as usize] = older;
    older
}

/// The number of each label's region: labels rise in scan order and a parent is never the newer, so
/// roots rise in the order in which a scan meets their regions.
fn numbered(parents: &[u32]) -> (Vec<u32>, usize) {
    let mut numbers = vec![NO_REGION; parents.len()];
    let mut count = 0;
    for label in 1..parents.len() {
        let parent = parents[label] as usize;
        numbers[label] = if parent == label {
            count += 1;
            count
        } else {
            numbers[parent]
        };
    }
    (numbers, count as usize)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of_values(values: &[u32], cols: usize) -> Regions {
        label_regions(|at| values[at], values.len(), cols, &Walls::none())
    }

    /// Slow and obvious: flood each region from its first cell.
    fn flood(values: &[u32], cols: usize) -> Regions {
        let mut cells = vec![NO_REGION; values.len()];
        let mut count = 0;
        for start in 0..values.len() {
            if values[start] == NO_REGION || cells[start] != NO_REGION {
                continue;
            }
            count += 1;
            let mut stack = vec![start];
            while let Some(at) = stack.pop() {
                if cells[at] != NO_REGION || values[at] != values[start] {
                    continue;
                }
                cells[at] = count;
                if at % cols > 0 {
                    stack.push(at - 1);
                }
                if at % cols + 1 < cols {
                    stack.push(at + 1);
                }
                if at >= cols {
                    stack.push(at - cols);
                }
                if at + cols < values.len() {
                    stack.push(at + cols);
                }
            }
        }
        Regions { cells, count: count as usize }
    }

    #[test]
    fn corners_do_not_connect() {
        let regions = of_values(&[1, 2, 2, 1], 2);
        assert_eq!(regions, Regions { cells: vec![1, 2, 3, 4], count: 4 });
    }

    proptest! {
        #[test]
        fn union_find_agrees_with_flooding(
            cols in 1_usize..7,
            values in prop::collection::vec(prop_oneof![1 => Just(0), 9 => 1_u32..3], 0..1500),
        ) {
            // Narrow and long, so that there are many strips.
            let rows = values.len() / cols;
            let values = &values[..rows * cols];
            prop_assert_eq!(of_values(values, cols), flood(values, cols));
        }
    }
}
