//! The noded linework as a plane graph whose edges know what changes across them.

use rayon::prelude::*;

use crate::noding::Fragment;
use crate::precision::Point;

/// Something that a face can lie inside of: the cells of one label, a layer, or a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Mark {
    /// All cells of a label; `None` is the ground off the lattice.
    Label(Option<u32>),
    /// The layer of that position.
    Layer(u8),
    /// The unit of that position.
    Unit(u32),
}

/// How often linework winds round a place, for each mark; sorted, without zeros.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Winding(Vec<(Mark, i32)>);

impl Winding {
    /// Once round a mark.
    pub(crate) fn once(mark: Mark) -> Self {
        Self(vec![(mark, 1)])
    }

    /// Counts a mark further up or down.
    pub(crate) fn change(&mut self, mark: Mark, by: i32) {
        match self.0.binary_search_by_key(&mark, |m| m.0) {
            Err(at) => self.0.insert(at, (mark, by)),
            Ok(at) if self.0[at].1 + by == 0 => drop(self.0.remove(at)),
            Ok(at) => self.0[at].1 += by,
        }
    }

    /// Adds another winding, `times` over.
    pub(crate) fn add(&mut self, other: &Self, times: i32) {
        for &(mark, by) in &other.0 {
            self.change(mark, by * times);
        }
    }

    /// The marks that are wound round counter-clockwise.
    pub(crate) fn inside(&self) -> impl Iterator<Item = Mark> {
        self.0.iter().filter(|(_, times)| *times > 0).map(|(mark, _)| *mark)
    }
}

/// What lies on both sides of a line, for the source that a segment names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Sides {
    pub(crate) left: Option<Mark>,
    pub(crate) right: Option<Mark>,
}

/// Nodes and edges in which each edge is there once.
pub(crate) struct Arrangement {
    /// Sorted.
    pub(crate) nodes: Vec<Point>,
    /// Two nodes, the lower first; sorted.
    pub(crate) edges: Vec<[u32; 2]>,
    /// For each edge the winding on its left less that on its right.
    pub(crate) changes: Vec<Winding>,
}

impl Arrangement {
    /// Merges fragments that lie on each other, and keeps the edges that something changes across.
    ///
    /// All linework with marks is closed: for each mark it is a sum of rings, and a sum of rings runs
    /// through no edge whose removal would part the graph. So what is left has neither dangling edges
    /// nor bridges.
    pub(crate) fn new(fragments: Vec<Fragment>, sides: &[Sides]) -> Self {
        Self::keeping(fragments, sides, |change| *change != Winding::default())
    }

    /// Merges fragments that lie on each other, and keeps every edge.
    pub(crate) fn whole(fragments: Vec<Fragment>, sides: &[Sides]) -> Self {
        Self::keeping(fragments, sides, |_| true)
    }

    fn keeping(
        mut fragments: Vec<Fragment>,
        sides: &[Sides],
        keep: impl Fn(&Winding) -> bool + Sync,
    ) -> Self {
        fragments.par_sort_unstable();
        let edge = |same: &[Fragment]| {
            let change = change_across(same, sides);
            keep(&change).then(|| (same[0].low, same[0].high, change))
        };
        let same = fragments.par_chunk_by(|a, b| (a.low, a.high) == (b.low, b.high));
        let kept: Vec<(Point, Point, Winding)> = same.filter_map(edge).collect();
        let mut nodes: Vec<_> = kept.iter().flat_map(|(low, high, _)| [*low, *high]).collect();
        nodes.par_sort_unstable();
        nodes.dedup();
        let place = |p: &Point| nodes.partition_point(|n| n < p) as u32;
        let edges = kept.par_iter().map(|(low, high, _)| [place(low), place(high)]).collect();
        let changes = kept.into_iter().map(|(_, _, change)| change).collect();
        Self { nodes, edges, changes }
    }

    /// The edge that a fragment became part of, if it was kept.
    pub(crate) fn edge_of(&self, fragment: &Fragment) -> Option<u32> {
        let place = |p: &Point| self.nodes.binary_search(p).ok().map(|node| node as u32);
        let ends = [place(&fragment.low)?, place(&fragment.high)?];
        self.edges.binary_search(&ends).ok().map(|edge| edge as u32)
    }

    /// The length of an edge, in steps.
    pub(crate) fn length(&self, edge: u32) -> f64 {
        let [low, high] = self.edges[edge as usize].map(|node| self.nodes[node as usize]);
        low.distance(high)
    }
}

fn change_across(fragments: &[Fragment], sides: &[Sides]) -> Winding {
    let mut change = Winding::default();
    for fragment in fragments {
        let times = if fragment.forward { 1 } else { -1 };
        let Sides { left, right } = sides[fragment.source as usize];
        for (mark, times) in [(left, times), (right, -times)] {
            if let Some(mark) = mark {
                change.change(mark, times);
            }
        }
    }
    change
}
