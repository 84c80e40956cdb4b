//! Whether a point lies within a block.

use terrain::Grid;

/// Edges that a band of the map holds, on average: few enough to look through for each point.
const EDGES_A_BAND: usize = 8;

/// The rings of a block, outer ones and holes alike; a point is within where a line from it to far
/// away crosses an odd number of edges.
#[derive(Debug, Clone)]
pub struct Outline {
    edges: Vec<[[f64; 2]; 2]>,
    /// Bands from south to north: where the edges of each begin in `banded`.
    starts: Vec<u32>,
    banded: Vec<u32>,
    south: f64,
    bands_a_metre: f64,
}

impl Outline {
    /// From rings of points, metres, closed or not.
    ///
    /// Cost: a pass over the edges; memory goes by the edges and the bands that they cross.
    #[must_use]
    pub fn new(rings: &[Vec<[f64; 2]>]) -> Self {
        let mut edges = Vec::new();
        for ring in rings {
            let next = ring.iter().cycle().skip(1);
            edges.extend(ring.iter().zip(next).map(|(from, to)| [*from, *to]));
        }
        let heights = || edges.iter().flat_map(|edge| edge.iter().map(|at| at[1]));
        let (south, north) =
            heights().fold((f64::INFINITY, f64::NEG_INFINITY), |(s, n), y| (s.min(y), n.max(y)));
        let bands = (edges.len() / EDGES_A_BAND).max(1);
        let bands_a_metre = if north > south { bands as f64 / (north - south) } else { 0.0 };
        let mut outline =
            Self { edges, starts: vec![0; bands + 1], banded: Vec::new(), south, bands_a_metre };
        outline.sort_into_bands();
        outline
    }

    fn sort_into_bands(&mut self) {
        let spans: Vec<[usize; 2]> = self
            .edges
            .iter()
            .map(|[from, to]| [self.band(from[1].min(to[1])), self.band(from[1].max(to[1]))])
            .collect();
        for [first, last] in &spans {
            for band in *first..=*last {
                self.starts[band + 1] += 1;
            }
        }
        for band in 1..self.starts.len() {
            self.starts[band] += self.starts[band - 1];
        }
        let mut next = self.starts.clone();
        self.banded = vec![0; self.starts.last().map_or(0, |all| *all as usize)];
        for (edge, [first, last]) in spans.iter().enumerate() {
            for place in &mut next[*first..=*last] {
                self.banded[*place as usize] = edge as u32;
                *place += 1;
            }
        }
    }

    fn band(&self, y: f64) -> usize {
        // A negative number becomes 0.
        (((y - self.south) * self.bands_a_metre) as usize).min(self.starts.len() - 2)
    }

    fn of_band(&self, y: f64) -> impl Iterator<Item = &[[f64; 2]; 2]> {
        let band = self.band(y);
        let range = self.starts[band] as usize..self.starts[band + 1] as usize;
        self.banded[range].iter().map(|edge| &self.edges[*edge as usize])
    }

    /// Eastings at which the line at a northing enters and leaves the block, in order.
    #[must_use]
    pub fn crossings(&self, y: f64) -> Vec<f64> {
        let mut found: Vec<f64> = self.of_band(y).filter_map(|edge| crossing(edge, y)).collect();
        found.sort_by(f64::total_cmp);
        found
    }

    /// Marks every cell of a grid that an edge passes through, and may mark others beside it.
    pub(crate) fn mark_edges(&self, grid: &Grid, cells: &mut [bool]) {
        let col_of = |x: f64| (x - grid.west()) / grid.cell_width();
        let row_of = |y: f64| (grid.north() - y) / grid.cell_height();
        let mut mark = |row: f64, from: f64, to: f64| {
            if row < 0.0 || row >= grid.rows() as f64 || to < 0.0 || from >= grid.cols() as f64 {
                return;
            }
            let first = grid.index(row as usize, 0);
            let last = (to as usize).min(grid.cols() - 1);
            cells[first + from.max(0.0) as usize..=first + last].fill(true);
        };
        for &[[ax, ay], [bx, by]] in &self.edges {
            let (upper, lower) = if ay > by { ((ax, ay), (bx, by)) } else { ((bx, by), (ax, ay)) };
            let (first, last) = (row_of(upper.1).floor(), row_of(lower.1).floor());
            let mut row = first;
            while row <= last {
                // The part of the edge within this row of cells.
                let part = |y: f64| {
                    if upper.1 > lower.1 {
                        let down = ((upper.1 - y) / (upper.1 - lower.1)).clamp(0.0, 1.0);
                        upper.0 + (lower.0 - upper.0) * down
                    } else {
                        upper.0
                    }
                };
                let top = part(grid.north() - row * grid.cell_height());
                let bottom = part(grid.north() - (row + 1.0) * grid.cell_height());
                let (mut from, mut to) = (top.min(bottom), top.max(bottom));
                if upper.1 <= lower.1 {
                    (from, to) = (ax.min(bx), ax.max(bx));
                }
                mark(row, col_of(from).floor(), col_of(to).floor());
                row += 1.0;
            }
        }
    }

    /// Whether a point lies within. On the border itself either may be said.
    #[must_use]
    pub fn contains(&self, [x, y]: [f64; 2]) -> bool {
        let west = self.of_band(y).filter_map(|edge| crossing(edge, y)).filter(|at| *at <= x);
        west.count() % 2 == 1
    }
}

/// Where an edge meets the line at a northing; its southern end counts, its northern does not.
fn crossing([from, to]: &[[f64; 2]; 2], y: f64) -> Option<f64> {
    ((from[1] <= y) != (to[1] <= y))
        .then(|| from[0] + (to[0] - from[0]) * ((y - from[1]) / (to[1] - from[1])))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ring(west: f64, south: f64, side: f64) -> Vec<[f64; 2]> {
        vec![[west, south], [west + side, south], [west + side, south + side], [west, south + side]]
    }

    #[test]
    fn a_hole_is_without() {
        let outline = Outline::new(&[ring(0.0, 0.0, 10.0), ring(4.0, 4.0, 2.0)]);
        assert!(outline.contains([1.0, 5.0]) && outline.contains([9.0, 5.0]));
        assert!(!outline.contains([5.0, 5.0]) && !outline.contains([5.0, 11.0]));
        assert_eq!(outline.crossings(5.0), [0.0, 4.0, 6.0, 10.0]);
        assert!(outline.crossings(-1.0).is_empty() && outline.crossings(20.0).is_empty());
    }

    #[test]
    fn nothing_holds_nothing() {
        assert!(!Outline::new(&[]).contains([0.0, 0.0]));
        assert!(!Outline::new(&[vec![[1.0, 1.0]]]).contains([1.0, 1.0]));
    }

    proptest! {
        /// Slow twin: the angle that a ring turns about a point.
        #[test]
        fn a_point_is_within_when_the_ring_turns_about_it(
            points in prop::collection::vec((0.0..100.0_f64, 0.0..100.0_f64), 3..60),
            (x, y) in (0.0..100.0_f64, 0.0..100.0_f64),
        ) {
            // A star about the middle, so that the ring does not cross itself.
            let mut star: Vec<[f64; 2]> = points.iter().map(|(x, y)| [*x, *y]).collect();
            let about = |p: &[f64; 2]| (p[1] - 50.0).atan2(p[0] - 50.0);
            star.sort_by(|a, b| about(a).total_cmp(&about(b)));
            let next = star.iter().cycle().skip(1);
            let turned: f64 = star.iter().zip(next).map(|(a, b)| {
                let (ax, ay, bx, by) = (a[0] - x, a[1] - y, b[0] - x, b[1] - y);
                (ax * by - ay * bx).atan2(ax * bx + ay * by)
            }).sum();
            let within = (turned.abs() / std::f64::consts::TAU).round() as i64 % 2 == 1;
            prop_assert_eq!(Outline::new(&[star]).contains([x, y]), within);
        }

        /// Slow twin: every edge asked, without bands; corners lie on the lines that are asked for.
        #[test]
        fn bands_hide_no_edge(
            ring in prop::collection::vec((-20..20_i32, -20..20_i32), 1..80),
            x in -25..25_i32, half in -45..45_i32,
        ) {
            let ring: Vec<[f64; 2]> =
                ring.iter().map(|(x, y)| [f64::from(*x), f64::from(*y)]).collect();
            let outline = Outline::new(std::slice::from_ref(&ring));
            let y = f64::from(half) / 2.0;
            let mut slow = Vec::new();
            for (index, from) in ring.iter().enumerate() {
                let to = ring[(index + 1) % ring.len()];
                if from[1].min(to[1]) <= y && y < from[1].max(to[1]) {
                    slow.push(from[0] + (y - from[1]) / (to[1] - from[1]) * (to[0] - from[0]));
                }
            }
            slow.sort_by(f64::total_cmp);
            let found = outline.crossings(y);
            prop_assert_eq!(found.len(), slow.len(), "at {}", y);
            prop_assert!(found.iter().zip(&slow).all(|(a, b)| (a - b).abs() < 1e-9));
            // On no corner, and on an edge only by chance.
            let x = f64::from(x) + 0.123_456_789;
            let west = slow.iter().filter(|at| **at < x).count();
            prop_assert_eq!(outline.contains([x, y]), west % 2 == 1);
        }
    }

    /// A band holds few of many edges, and all of few.
    #[test]
    fn edges_are_looked_for_in_few_places() {
        let teeth: Vec<[f64; 2]> =
            (0..800_u32).map(|at| [f64::from(at % 2), f64::from(at) / 100.0]).collect();
        let outline = Outline::new(&[teeth]);
        for y in [-1.0, 0.0, 3.3, 7.9, 8.5] {
            let looked = outline.of_band(y).count();
            // Eight of its own, the long one that closes the ring, and some over its ends.
            assert!((8..=12).contains(&looked), "{looked} at {y}");
        }
        assert_eq!(Outline::new(&[ring(0.0, 0.0, 1.0)]).of_band(0.5).count(), 4);
    }
}
