//! The cell lattice, and the arcs between differently labelled cells.

use std::sync::atomic::{AtomicU64, Ordering};

use rayon::prelude::*;

/// A regular lattice of cells; row 0 is the northernmost, column 0 the westernmost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lattice {
    /// Cells from west to east.
    pub cols: u32,
    /// Cells from north to south.
    pub rows: u32,
    /// Easting of the western edge, in metres.
    pub west: f64,
    /// Northing of the northern edge, in metres.
    pub north: f64,
    /// Extent of a cell from west to east, in metres.
    pub cell_width: f64,
    /// Extent of a cell from north to south, in metres (positive).
    pub cell_height: f64,
}

impl Lattice {
    /// The number of cells.
    #[must_use]
    pub fn cells(&self) -> usize {
        self.cols as usize * self.rows as usize
    }

    /// The area of one cell, in square metres.
    #[must_use]
    pub fn cell_area_m2(&self) -> f64 {
        self.cell_width * self.cell_height
    }

    /// Where a point counted in half cells east and south of the north-western corner lies, in metres.
    pub(crate) fn at_half_cells(&self, [east, south]: [i64; 2]) -> [f64; 2] {
        [
            self.west + east as f64 * 0.5 * self.cell_width,
            self.north - south as f64 * 0.5 * self.cell_height,
        ]
    }
}

/// A border between two labels, from one junction to the next, or a closed ring that meets none.
///
/// A junction is a lattice node where three or four borders meet. At a saddle (two labels, each at
/// two opposite corners) four meet: regions are 4-connected there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Arc {
    /// Both end nodes and every corner between them, as column and row of the lattice.
    /// A closed arc repeats its first node.
    pub(crate) corners: Vec<[u32; 2]>,
    /// The label on the left of the walk from the first node to the last; `None` off the lattice.
    pub(crate) left: Option<u32>,
    /// The label on the right.
    pub(crate) right: Option<u32>,
    /// Whether it is a ring without a junction.
    pub(crate) is_ring: bool,
}

/// Every border of a labelled lattice, each once, its outer edge included.
///
/// Arcs are walked from both ends at a time by whoever comes first; then each is turned to run from
/// the end that a scan meets first, and they are put in the order of that, so the answer is the same
/// whoever walked. Takes time linear in the cells, on all cores but for rings without a junction, and
/// 2 bits of memory a cell beside the result.
pub(crate) fn trace(labels: &[u32], cols: u32, rows: u32) -> Vec<Arc> {
    /// Junctions that one thread starts from at a time.
    const FEW: usize = 64;
    let map = LabelMap { labels, cols: cols as usize, rows: rows as usize };
    let walked = Walked::new(cols as usize, rows as usize);
    let starts = map.starts();
    let from = |(node, exits): &(Node, u8)| {
        let (node, exits) = (*node, *exits);
        let open = HEADINGS.into_iter().filter(move |heading| exits & heading.bit() != 0);
        let unwalked = open.filter(|heading| !walked.has(node, *heading));
        unwalked.map(|heading| map.walk(node, heading, false, &walked)).collect::<Vec<_>>()
    };
    let junctions: Vec<(Node, u8)> =
        starts.iter().copied().filter(|(_, exits)| exits.count_ones() > 2).collect();
    let chunks = junctions.par_chunks(FEW);
    let mut arcs: Vec<(Outset, Arc)> =
        chunks.flat_map_iter(|chunk| chunk.iter().flat_map(from)).collect();
    arcs.par_sort_unstable_by_key(|(outset, _)| *outset);
    arcs.dedup_by_key(|(outset, _)| *outset);
    let mut arcs: Vec<Arc> = arcs.into_iter().map(|(_, arc)| arc).collect();
    for (node, _) in starts.iter().filter(|(_, exits)| *exits == NORTH_WESTERN) {
        if !walked.has(*node, Heading::East) {
            arcs.push(map.walk(*node, Heading::East, true, &walked).1);
        }
    }
    arcs
}

/// Where an arc sets out, as a scan meets it: row, column and heading.
type Outset = (usize, usize, Heading);

/// A bit for each set of exits with which a walk may start: three or four, or a north-western corner.
const STARTS: u32 = {
    let (mut starts, mut exits) = (1 << NORTH_WESTERN, 0_u32);
    while exits < 16 {
        starts |= ((exits.count_ones() > 2) as u32) << exits;
        exits += 1;
    }
    starts
};

/// Exits of a north-western corner. A ring has one at the first node that a scan meets.
const NORTH_WESTERN: u8 = 0b11;

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Heading {
    East,
    South,
    West,
    North,
}

const HEADINGS: [Heading; 4] = [Heading::East, Heading::South, Heading::West, Heading::North];

impl Heading {
    fn bit(self) -> u8 {
        1 << self as u8
    }

    fn back(self) -> Self {
        HEADINGS[(self as usize + 2) % 4]
    }

    fn left(self) -> Self {
        HEADINGS[(self as usize + 3) % 4]
    }

    fn right(self) -> Self {
        HEADINGS[(self as usize + 1) % 4]
    }
}

/// A lattice node: `[column, row]`, from 0 to the number of columns and rows inclusive.
type Node = [usize; 2];

fn step([col, row]: Node, heading: Heading) -> Node {
    match heading {
        Heading::East => [col + 1, row],
        Heading::South => [col, row + 1],
        Heading::West => [col - 1, row],
        Heading::North => [col, row - 1],
    }
}

struct LabelMap<'a> {
    labels: &'a [u32],
    cols: usize,
    rows: usize,
}

/// The labels around a node: north-west, north-east, south-east, south-west.
type Around = [Option<u32>; 4];

/// A bit for each heading along which a border leaves.
fn exits<T: PartialEq>([nw, ne, se, sw]: [T; 4]) -> u8 {
    u8::from(ne != se)
        | (u8::from(se != sw) << 1)
        | (u8::from(sw != nw) << 2)
        | (u8::from(nw != ne) << 3)
}

impl LabelMap<'_> {
    /// The label of the cell whose north-western node is `[col, row]`, both moved by one:
    /// (0, 0) lies diagonally off the lattice.
    fn shifted(&self, col: usize, row: usize) -> Option<u32> {
        let (col, row) = (col.wrapping_sub(1), row.wrapping_sub(1));
        (col < self.cols && row < self.rows).then(|| self.labels[row * self.cols + col])
    }

    fn around(&self, [col, row]: Node) -> Around {
        [
            self.shifted(col, row),
            self.shifted(col + 1, row),
            self.shifted(col + 1, row + 1),
            self.shifted(col, row + 1),
        ]
    }

    /// Every node at which a walk may start, with its exits, in scan order: junctions and
    /// north-western corners.
    fn starts(&self) -> Vec<(Node, u8)> {
        let rows: Vec<Vec<(Node, u8)>> = (0..self.rows + 1)
            .into_par_iter()
            .with_min_len(64)
            .map(|row| self.starts_of(row))
            .collect();
        rows.into_iter().flatten().collect()
    }

    fn starts_of(&self, row: usize) -> Vec<(Node, u8)> {
        /// Nodes looked at together: most have one label all round.
        const LANES: usize = 16;
        let mut found = Vec::new();
        let mut look = |col: usize| {
            let exits = exits(self.around([col, row]));
            if STARTS >> exits & 1 == 1 {
                found.push(([col, row], exits));
            }
        };
        if row == 0 || row == self.rows || self.cols == 0 {
            (0..=self.cols).for_each(look);
            return found;
        }
        let above = &self.labels[(row - 1) * self.cols..row * self.cols];
        let below = &self.labels[row * self.cols..(row + 1) * self.cols];
        look(0);
        let mut col = 1;
        while col + LANES <= self.cols {
            let (north, north_west) = (&above[col..col + LANES], &above[col - 1..col - 1 + LANES]);
            let (south, south_west) = (&below[col..col + LANES], &below[col - 1..col - 1 + LANES]);
            let differ =
                |a: &[u32], b: &[u32]| a.iter().zip(b).fold(0, |differ, (a, b)| differ | (a ^ b));
            // Along a straight border that runs east nothing differs on either side of it.
            if differ(north, north_west) | differ(south, south_west) != 0 {
                let mut starts = 0_u32;
                for lane in 0..LANES {
                    let around = [north_west[lane], north[lane], south[lane], south_west[lane]];
                    starts |= (STARTS >> exits(around) & 1) << lane;
                }
                while starts != 0 {
                    look(col + starts.trailing_zeros() as usize);
                    starts &= starts - 1;
                }
            }
            col += LANES;
        }
        (col..=self.cols).for_each(look);
        found
    }

    /// Follows a border to the next junction, or once round; the arc runs from the end that a scan
    /// meets first. The labels beside it stay the same, so only the two cells ahead decide where it
    /// goes.
    fn walk(&self, start: Node, set_out: Heading, is_ring: bool, walked: &Walked) -> (Outset, Arc) {
        let (left, right) = self.sides(start, set_out);
        let corner = |[col, row]: Node| [col as u32, row as u32];
        let mut corners = vec![corner(start)];
        let (mut at, mut heading) = (start, set_out);
        walked.mark(at, heading);
        loop {
            at = step(at, heading);
            if at == start {
                break;
            }
            let (ahead_left, ahead_right) = self.sides(at, heading);
            let onward = match (ahead_left == left, ahead_right == right) {
                (true, true) => continue,
                // What lies on the right goes on across: the border turns left, or the reverse.
                (false, true) if ahead_left == right => heading.left(),
                (true, false) if ahead_right == left => heading.right(),
                _ => break,
            };
            // The edges by which it is seen that a ring was walked: eastward from its corners.
            if heading == Heading::West || onward == Heading::East {
                walked.mark(at, Heading::East);
            }
            heading = onward;
            corners.push(corner(at));
        }
        corners.push(corner(at));
        let back = heading.back();
        walked.mark(at, back);
        let outset = |[col, row]: Node, heading| (row, col, heading);
        let (forth, back) = (outset(start, set_out), outset(at, back));
        if is_ring || forth <= back {
            return (forth, Arc { corners, left, right, is_ring });
        }
        corners.reverse();
        (back, Arc { corners, left: right, right: left, is_ring })
    }

    /// The labels on the left and right of the lattice edge that leaves a node.
    fn sides(&self, [col, row]: Node, heading: Heading) -> (Option<u32>, Option<u32>) {
        let [left, right] = match heading {
            Heading::East => [[1, 0], [1, 1]],
            Heading::South => [[1, 1], [0, 1]],
            Heading::West => [[0, 1], [0, 0]],
            Heading::North => [[0, 0], [1, 0]],
        };
        if 0 < col && col < self.cols && 0 < row && row < self.rows {
            let north_western = (row - 1) * self.cols + col - 1;
            let label = |[east, south]: [usize; 2]| {
                self.labels.get(north_western + east + south * self.cols).copied()
            };
            return (label(left), label(right));
        }
        let label = |[east, south]: [usize; 2]| self.shifted(col + east, row + south);
        (label(left), label(right))
    }
}

/// One bit for each lattice edge: those that run east first, then those that run south.
struct Walked {
    bits: Vec<AtomicU64>,
    cols: usize,
    eastward: usize,
}

impl Walked {
    fn new(cols: usize, rows: usize) -> Self {
        let eastward = cols * (rows + 1);
        let edges = eastward + (cols + 1) * rows;
        let bits = (0..edges.div_ceil(64)).into_par_iter().map(|_| AtomicU64::new(0)).collect();
        Self { bits, cols, eastward }
    }

    fn index(&self, node: Node, heading: Heading) -> usize {
        let [col, row] = node;
        match heading {
            Heading::East => row * self.cols + col,
            Heading::West => row * self.cols + col - 1,
            Heading::South => self.eastward + row * (self.cols + 1) + col,
            Heading::North => self.eastward + (row - 1) * (self.cols + 1) + col,
        }
    }

    fn has(&self, node: Node, heading: Heading) -> bool {
        let edge = self.index(node, heading);
        self.bits[edge / 64].load(Ordering::Relaxed) & (1 << (edge % 64)) != 0
    }

    fn mark(&self, node: Node, heading: Heading) {
        let edge = self.index(node, heading);
        self.bits[edge / 64].fetch_or(1 << (edge % 64), Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_lattice_of_one_label_is_bounded_by_one_ring() {
        let arcs = trace(&[7; 6], 3, 2);
        let corners = vec![[0, 0], [3, 0], [3, 2], [0, 2], [0, 0]];
        assert_eq!(arcs, [Arc { corners, left: None, right: Some(7), is_ring: true }]);
    }

    #[test]
    fn four_arcs_meet_at_a_saddle() {
        //  1 2
        //  2 1
        let arcs = trace(&[1, 2, 2, 1], 2, 2);
        let at_centre = |arc: &&Arc| {
            arc.corners.first() == Some(&[1, 1]) || arc.corners.last() == Some(&[1, 1])
        };
        assert_eq!(arcs.iter().filter(at_centre).count(), 4);
        assert_eq!(arcs.len(), 8);
    }

    #[test]
    fn an_empty_lattice_has_no_border() {
        assert_eq!(trace(&[], 0, 0), []);
        assert_eq!(trace(&[], 5, 0), []);
    }

    #[test]
    fn the_arcs_are_the_same_whoever_walks_them() {
        let side = 150;
        // Patches and specks from a scrambled count, so that arcs are long and short.
        let label = |at: u32| {
            let coarse = (at % side / 7).wrapping_mul(0x9E37_79B9)
                ^ (at / side / 5).wrapping_mul(0x85EB_CA6B);
            let fine = at.wrapping_mul(0xC2B2_AE35) >> 16;
            if fine.is_multiple_of(11) { fine % 3 } else { (coarse >> 20) % 3 }
        };
        let labels: Vec<u32> = (0..side * side).map(label).collect();
        let with = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| trace(&labels, side, side))
        };
        let alone = with(1);
        assert!(alone.len() > 1000);
        for _ in 0..30 {
            assert_eq!(with(4), alone);
        }
    }

    /// Every unit edge between unlike cells with the labels on its left and right, the obvious way.
    fn unlike_edges(
        labels: &[u32],
        cols: i64,
        rows: i64,
    ) -> Vec<([i64; 4], Option<u32>, Option<u32>)> {
        let at = |c: i64, r: i64| {
            (0..cols).contains(&c).then_some(())?;
            (0..rows).contains(&r).then(|| labels[(r * cols + c) as usize])
        };
        let mut edges = Vec::new();
        for r in 0..=rows {
            for c in 0..=cols {
                edges.push(([c, r, c + 1, r], at(c, r - 1), at(c, r)));
                edges.push(([c, r, c, r + 1], at(c, r), at(c - 1, r)));
            }
        }
        edges.retain(|(_, left, right)| left != right);
        edges.sort();
        edges
    }

    fn traced_edges(arcs: &[Arc]) -> Vec<([i64; 4], Option<u32>, Option<u32>)> {
        let mut edges = Vec::new();
        for arc in arcs {
            for run in arc.corners.windows(2) {
                let [[c0, r0], [c1, r1]] = [run[0], run[1]].map(|n| n.map(i64::from));
                let (dc, dr) = ((c1 - c0).signum(), (r1 - r0).signum());
                assert!(dc == 0 || dr == 0, "a run keeps to one row or column");
                let (mut c, mut r) = (c0, r0);
                while (c, r) != (c1, r1) {
                    let (next_c, next_r) = (c + dc, r + dr);
                    edges.push(if dc + dr > 0 {
                        ([c, r, next_c, next_r], arc.left, arc.right)
                    } else {
                        ([next_c, next_r, c, r], arc.right, arc.left)
                    });
                    (c, r) = (next_c, next_r);
                }
            }
        }
        edges.sort();
        edges
    }

    proptest! {
        #[test]
        fn each_edge_between_unlike_cells_is_traced_once_with_its_sides(
            (cols, rows, labels) in (1_u32..9, 1_u32..9).prop_flat_map(|(cols, rows)| {
                let cells = (cols * rows) as usize;
                (Just(cols), Just(rows), proptest::collection::vec(0_u32..3, cells))
            })
        ) {
            let arcs = trace(&labels, cols, rows);
            let expected = unlike_edges(&labels, i64::from(cols), i64::from(rows));
            prop_assert_eq!(traced_edges(&arcs), expected);
        }
    }
}
