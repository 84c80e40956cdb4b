//! 4-connected regions of equal cells.

use rayon::prelude::*;

use super::walls::Walls;

/// The region of cells that belong to none, and the value of such cells.
pub(super) const NO_REGION: u32 = 0;

/// Rows that one thread labels by itself, at least.
const ROWS: usize = 64;

/// The region of each cell, numbered from 1 in the order in which a scan from the north-west meets
/// them, and what is known of each region (position 0 unused).
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Regions {
    pub(super) cells: Vec<u32>,
    pub(super) count: usize,
    pub(super) facts: Vec<Region>,
}

/// Cells that have values.
pub(super) trait Valued: Sync {
    /// The value of a cell.
    fn value(&self, at: usize) -> u32;

    /// Something quickly looked up: where neighbours in a row without a wall between them have the
    /// same, their values are the same.
    fn token(&self, at: usize) -> u32;
}

/// What is known of a region.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Region {
    /// The value of its cells.
    pub(super) value: u32,
    /// How many they are.
    pub(super) cells: u32,
    /// Sums over them of twice their column and row, from the middle of the grid.
    pub(super) place: [i64; 2],
}

impl Region {
    fn add(&mut self, other: &Self) {
        self.value = other.value;
        self.cells += other.cells;
        self.place[0] += other.place[0];
        self.place[1] += other.place[1];
    }
}

/// Numbers the 4-connected regions of equal values; cells of value [`NO_REGION`] are in none, and
/// no region reaches across a wall.
///
/// There are `size` cells, `cols` in a row. Cost: two passes over the cells
/// on all cores (union–find over runs of equal cells, in strips that are joined afterwards); beside
/// the result 32 bytes for each region of a strip.
///
/// # References
/// He, Chao & Suzuki 2008, A run-based two-scan labeling algorithm (the runs and the two scans; the
/// strips and the numbering are ours).
pub(super) fn label_regions(
    valued: &impl Valued,
    size: usize,
    cols: usize,
    walls: &Walls,
) -> Regions {
    let mut cells = vec![NO_REGION; size];
    let rows = size.checked_div(cols).unwrap_or(0);
    let strip = cols * rows.div_ceil(4 * rayon::current_num_threads()).max(ROWS);
    if strip == 0 {
        return Regions { cells, count: 0, facts: vec![Region::default()] };
    }
    let middle = [cols as i64 - 1, rows as i64 - 1];
    let strips: Vec<Strip> = cells
        .par_chunks_mut(strip)
        .enumerate()
        .map(|(number, cells)| {
            let mut labelled = Strip::new(cols, number * strip, middle, walls);
            labelled.label(valued, cells);
            labelled
        })
        .collect();
    let mut parents = vec![NO_REGION];
    let mut firsts = Vec::with_capacity(strips.len());
    for strip in &strips {
        let first = parents.len() as u32 - 1;
        firsts.push(first);
        parents.extend(strip.parents[1..].iter().map(|parent| first + parent));
    }
    for (number, first) in firsts.iter().enumerate().skip(1) {
        let start = number * strip;
        for at in start..(start + cols).min(size) {
            let north = at - cols;
            let own = valued.value(at);
            if own != NO_REGION && own == valued.value(north) && !walls.is_north(at) {
                union(&mut parents, firsts[number - 1] + cells[north], first + cells[at]);
            }
        }
    }
    let (numbers, count) = numbered(&parents);
    let mut facts = vec![Region::default(); count + 1];
    for (strip, first) in strips.into_iter().zip(&firsts) {
        for (label, found) in (first + 1..).zip(&strip.facts[1..]) {
            facts[numbers[label as usize] as usize].add(found);
        }
    }
    cells.par_chunks_mut(strip).zip(firsts).for_each(|(cells, first)| {
        renumber_runs(cells, |label| numbers[(first + label) as usize]);
    });
    Regions { cells, count, facts }
}

/// Renumbers cells; those of [`NO_REGION`] keep it.
pub(super) fn renumber_runs(cells: &mut [u32], number: impl Fn(u32) -> u32) {
    // As often as not a cell is as the one before it.
    let (mut known, mut as_number) = (NO_REGION, NO_REGION);
    for cell in cells {
        if *cell != known {
            known = *cell;
            as_number = if known == NO_REGION { NO_REGION } else { number(known) };
        }
        *cell = as_number;
    }
}

/// Neighbouring cells of one row and one value, parted by no wall.
#[derive(Clone, Copy)]
struct Run {
    first: u32,
    end: u32,
    value: u32,
    label: u32,
}

/// Some rows of the grid, labelled from 1 by themselves.
struct Strip<'a> {
    cols: usize,
    /// The first cell, as the grid counts.
    start: usize,
    middle: [i64; 2],
    walls: &'a Walls,
    /// The parent of each label, and what is known of its cells; position 0 unused.
    parents: Vec<u32>,
    facts: Vec<Region>,
}

impl<'a> Strip<'a> {
    fn new(cols: usize, start: usize, middle: [i64; 2], walls: &'a Walls) -> Self {
        let (parents, facts) = (vec![NO_REGION], vec![Region::default()]);
        Self { cols, start, middle, walls, parents, facts }
    }

    fn label(&mut self, valued: &impl Valued, cells: &mut [u32]) {
        let (mut above, mut runs) = (Vec::new(), Vec::new());
        for (row, line) in cells.chunks_mut(self.cols).enumerate() {
            let at = self.start + row * self.cols;
            self.runs_of(valued, at, &mut runs);
            self.join(&mut runs, &above, at);
            let south = 2 * (at / self.cols) as i64 - self.middle[1];
            for run in &runs {
                line[run.first as usize..run.end as usize].fill(run.label);
                let length = i64::from(run.end - run.first);
                let ends = i64::from(run.first + run.end - 1);
                self.facts[run.label as usize].add(&Region {
                    value: run.value,
                    cells: run.end - run.first,
                    place: [length * (ends - self.middle[0]), length * south],
                });
            }
            std::mem::swap(&mut above, &mut runs);
        }
    }

    /// The runs of the row that begins at a cell, without labels.
    fn runs_of(&self, valued: &impl Valued, at: usize, runs: &mut Vec<Run>) {
        runs.clear();
        let (mut first, mut own, mut token) = (0, valued.value(at), valued.token(at));
        for col in 1..self.cols {
            let next = valued.token(at + col);
            if next == token && !self.walls.is_west(at + col) {
                continue;
            }
            token = next;
            let here = valued.value(at + col);
            if here != own || self.walls.is_west(at + col) {
                if own != NO_REGION {
                    runs.push(Run { first, end: col as u32, value: own, label: NO_REGION });
                }
                (first, own) = (col as u32, here);
            }
        }
        if own != NO_REGION {
            runs.push(Run { first, end: self.cols as u32, value: own, label: NO_REGION });
        }
    }

    /// Labels the runs of a row after those above them that they touch.
    fn join(&mut self, runs: &mut [Run], above: &[Run], at: usize) {
        let mut next = 0;
        for run in runs {
            while above.get(next).is_some_and(|north| north.end <= run.first) {
                next += 1;
            }
            for north in above[next..].iter().take_while(|north| north.first < run.end) {
                if north.value == run.value && self.is_open(run, north, at) {
                    run.label = match run.label {
                        NO_REGION => north.label,
                        label if label == north.label => label,
                        label => union(&mut self.parents, label, north.label),
                    };
                }
            }
            if run.label == NO_REGION {
                run.label = self.parents.len() as u32;
                self.parents.push(run.label);
                self.facts.push(Region::default());
            }
        }
    }

    /// Whether somewhere no wall runs between a run of the row that begins at a cell and one above.
    fn is_open(&self, run: &Run, north: &Run, at: usize) -> bool {
        let (first, end) = (run.first.max(north.first), run.end.min(north.end));
        (first..end).any(|col| !self.walls.is_north(at + col as usize))
    }
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
impl Valued for &[u32] {
    fn value(&self, at: usize) -> u32 {
        self[at]
    }

    fn token(&self, at: usize) -> u32 {
        self[at]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of_values(values: &[u32], cols: usize) -> Regions {
        label_regions(&values, values.len(), cols, &Walls::none())
    }

    /// Slow and obvious: flood each region from its first cell.
    fn flood(values: &[u32], units: &[u32], cols: usize) -> Regions {
        let mut cells = vec![NO_REGION; values.len()];
        let mut facts = vec![Region::default()];
        let rows = values.len() / cols;
        let alike =
            |at: usize, other: usize| (values[at], units[at]) == (values[other], units[other]);
        for start in 0..values.len() {
            if values[start] == NO_REGION || cells[start] != NO_REGION {
                continue;
            }
            let number = facts.len() as u32;
            let mut found = Region { value: values[start], ..Region::default() };
            let mut stack = vec![start];
            while let Some(at) = stack.pop() {
                if cells[at] != NO_REGION || !alike(at, start) {
                    continue;
                }
                cells[at] = number;
                found.cells += 1;
                let (row, col) = (at / cols, at % cols);
                found.place[0] += 2 * col as i64 - (cols as i64 - 1);
                found.place[1] += 2 * row as i64 - (rows as i64 - 1);
                if col > 0 {
                    stack.push(at - 1);
                }
                if col + 1 < cols {
                    stack.push(at + 1);
                }
                if row > 0 {
                    stack.push(at - cols);
                }
                if row + 1 < rows {
                    stack.push(at + cols);
                }
            }
            facts.push(found);
        }
        Regions { cells, count: facts.len() - 1, facts }
    }

    #[test]
    fn corners_do_not_connect() {
        assert_eq!(of_values(&[1, 2, 2, 1], 2).cells, [1, 2, 3, 4]);
    }

    proptest! {
        #[test]
        fn union_find_agrees_with_flooding(
            cols in 1_usize..7,
            values in prop::collection::vec(prop_oneof![1 => Just(0), 9 => 1_u32..3], 0..1500),
            units in prop::collection::vec(prop_oneof![12 => Just(1_u32), 1 => Just(2)], 1500),
        ) {
            // Narrow and long, so that there are many strips.
            let rows = values.len() / cols;
            let values = &values[..rows * cols];
            prop_assert_eq!(of_values(values, cols), flood(values, &vec![1; values.len()], cols));
            let units = &units[..rows * cols];
            let walls = Walls::between(units, cols);
            let parted = label_regions(&values, values.len(), cols, &walls);
            prop_assert_eq!(parted, flood(values, units, cols));
        }
    }
}
