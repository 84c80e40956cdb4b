//! The cell lattice, and the arcs between differently labelled cells.

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
/// Takes time linear in the cells (looked through on all cores) and 2 bits of memory a cell beside
/// the result.
pub(crate) fn trace(labels: &[u32], cols: u32, rows: u32) -> Vec<Arc> {
    let map = LabelMap { labels, cols: cols as usize, rows: rows as usize };
    let mut walked = Walked::new(cols as usize, rows as usize);
    let mut arcs = Vec::new();
    let starts = map.starts();
    for (node, exits) in starts.iter().filter(|(_, exits)| exits.count_ones() > 2) {
        for heading in HEADINGS {
            if exits & heading.bit() != 0 && !walked.has(*node, heading) {
                arcs.push(map.walk(*node, heading, false, &mut walked));
            }
        }
    }
    for (node, _) in starts.iter().filter(|(_, exits)| *exits == NORTH_WESTERN) {
        if !walked.has(*node, Heading::East) {
            arcs.push(map.walk(*node, Heading::East, true, &mut walked));
        }
    }
    arcs
}

/// Exits of a north-western corner. A ring has one at the first node that a scan meets.
const NORTH_WESTERN: u8 = 0b11;

#[derive(Clone, Copy, PartialEq, Eq)]
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
fn exits([nw, ne, se, sw]: Around) -> u8 {
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
            if exits.count_ones() > 2 || exits == NORTH_WESTERN {
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
            let mut differ = 0;
            for lane in col..col + LANES {
                differ |= (above[lane] ^ above[lane - 1]) | (below[lane] ^ below[lane - 1]);
                differ |= above[lane] ^ below[lane];
            }
            if differ != 0 {
                (col..col + LANES).for_each(&mut look);
            }
            col += LANES;
        }
        (col..=self.cols).for_each(look);
        found
    }

    /// Follows a border to the next junction, or once round.
    fn walk(&self, start: Node, mut heading: Heading, is_ring: bool, walked: &mut Walked) -> Arc {
        let (left, right) = self.sides(start, heading);
        let corner = |[col, row]: Node| [col as u32, row as u32];
        let mut corners = vec![corner(start)];
        let mut at = start;
        loop {
            walked.mark(at, heading);
            at = step(at, heading);
            let exits = exits(self.around(at));
            if exits.count_ones() > 2 || at == start {
                break;
            }
            let onward = exits & !heading.back().bit();
            if onward != heading.bit() {
                corners.push(corner(at));
                heading = HEADINGS[onward.trailing_zeros() as usize % 4];
            }
        }
        corners.push(corner(at));
        Arc { corners, left, right, is_ring }
    }

    /// The labels on the left and right of the lattice edge that leaves a node.
    fn sides(&self, node: Node, heading: Heading) -> (Option<u32>, Option<u32>) {
        let [nw, ne, se, sw] = self.around(node);
        match heading {
            Heading::East => (ne, se),
            Heading::South => (se, sw),
            Heading::West => (sw, nw),
            Heading::North => (nw, ne),
        }
    }
}

/// One bit for each lattice edge: those that run east first, then those that run south.
struct Walked {
    bits: Vec<u64>,
    cols: usize,
    eastward: usize,
}

impl Walked {
    fn new(cols: usize, rows: usize) -> Self {
        let eastward = cols * (rows + 1);
        let edges = eastward + (cols + 1) * rows;
        Self { bits: vec![0; edges.div_ceil(64)], cols, eastward }
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
        self.bits[edge / 64] & (1 << (edge % 64)) != 0
    }

    fn mark(&mut self, node: Node, heading: Heading) {
        let edge = self.index(node, heading);
        self.bits[edge / 64] |= 1 << (edge % 64);
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
