//! Faces of one key dissolved into polygons.

use crate::arrangement::Arrangement;
use crate::faces::{Faces, UNBOUNDED, origin};
use crate::layers::Polygon;
use crate::precision::{Point, PrecisionGrid, length_m, turn};
use std::collections::BTreeMap;

/// All ground of one key.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The key.
    pub key: u64,
    /// Its connected parts, sorted; any two of them share at most single points.
    pub polygons: Vec<Polygon>,
}

/// The border between two keys.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Border {
    /// The keys on both sides, the lower first; `None` is what was dropped.
    pub keys: [Option<u64>; 2],
    /// Its length on the plan, in metres.
    pub length_m: f64,
}

/// The edges between unlike keys, and the faces that they bound.
pub(crate) struct Dissolved<'a> {
    nodes: &'a [Point],
    edges: Vec<[u32; 2]>,
    /// The keys on the left and right of each edge.
    sides: Vec<[Option<u64>; 2]>,
    faces: Faces,
}

impl<'a> Dissolved<'a> {
    /// Leaves out every edge with one key on both sides.
    pub(crate) fn new(arrangement: &'a Arrangement, faces: &Faces, keys: &[Option<u64>]) -> Self {
        let (mut edges, mut sides) = (Vec::new(), Vec::new());
        for (edge, ends) in (0_u32..).zip(&arrangement.edges) {
            let both = [2 * edge, 2 * edge + 1].map(|h| keys[faces.left_of(h) as usize]);
            if both[0] != both[1] {
                edges.push(*ends);
                sides.push(both);
            }
        }
        let faces = Faces::new(&arrangement.nodes, &edges);
        Self { nodes: &arrangement.nodes, edges, sides, faces }
    }

    /// The polygons of each key, in order.
    pub(crate) fn pieces(&self, grid: &PrecisionGrid) -> Vec<Piece> {
        self.pieces_without(&self.plain_nodes(), grid)
    }

    /// The same, with the nodes on straight runs, which others may know.
    pub(crate) fn pieces_with_all_nodes(&self, grid: &PrecisionGrid) -> Vec<Piece> {
        self.pieces_without(&vec![false; self.nodes.len()], grid)
    }

    fn pieces_without(&self, plain: &[bool], grid: &PrecisionGrid) -> Vec<Piece> {
        let mut by_key: BTreeMap<u64, Vec<Rings>> = BTreeMap::new();
        let mut cutter = RingCutter::new(self.nodes.len());
        for face in UNBOUNDED + 1..self.faces.count() as u32 {
            if let Some(key) = self.key_of(face) {
                by_key.entry(key).or_default().push(self.rings(face, plain, &mut cutter));
            }
        }
        let piece = |(key, mut parts): (u64, Vec<Rings>)| {
            parts.sort_unstable();
            Piece { key, polygons: parts.iter().map(|rings| rings.polygon(grid)).collect() }
        };
        by_key.into_iter().map(piece).collect()
    }

    /// The length of border between each two keys, in order.
    pub(crate) fn borders(&self) -> Vec<Border> {
        let mut lengths: BTreeMap<_, f64> = BTreeMap::new();
        for (&[low, high], &[left, right]) in self.edges.iter().zip(&self.sides) {
            let length = self.nodes[low as usize].distance(self.nodes[high as usize]);
            *lengths.entry([left.min(right), left.max(right)]).or_default() += length;
        }
        let border = |(keys, length)| Border { keys, length_m: length_m(length) };
        lengths.into_iter().map(border).collect()
    }

    fn key_of(&self, face: u32) -> Option<u64> {
        let half_edge = *self.faces.borders(face).first()?;
        self.sides[half_edge as usize / 2][half_edge as usize % 2]
    }

    /// Nodes that both neighbours can do without: those inside a straight run of one border.
    fn plain_nodes(&self) -> Vec<bool> {
        let mut around = vec![Around::Nothing; self.nodes.len()];
        for &[low, high] in &self.edges {
            around[low as usize].meet(high);
            around[high as usize].meet(low);
        }
        let at = |node: u32| self.nodes[node as usize];
        let plain = |(around, &node): (Around, &Point)| match around {
            Around::Two(a, b) => turn(at(a), node, at(b)) == 0,
            _ => false,
        };
        around.into_iter().zip(self.nodes).map(plain).collect()
    }

    fn rings(&self, face: u32, plain: &[bool], cutter: &mut RingCutter) -> Rings {
        let mut rings = Rings::default();
        for &start in self.faces.borders(face) {
            let walk = self.faces.around(start).map(|h| origin(&self.edges, h));
            cutter.cut(walk, |ring| {
                let points = ring.iter().filter(|&&node| !plain[node as usize]);
                rings.add(points.map(|&node| self.nodes[node as usize]).collect());
            });
        }
        rings.holes.sort_unstable();
        rings
    }
}

/// The neighbours of a node, as far as they matter.
#[derive(Clone, Copy)]
enum Around {
    Nothing,
    One(u32),
    Two(u32, u32),
    More,
}

impl Around {
    fn meet(&mut self, node: u32) {
        *self = match *self {
            Self::Nothing => Self::One(node),
            Self::One(first) => Self::Two(first, node),
            Self::Two(..) | Self::More => Self::More,
        }
    }
}

/// The rings of a polygon on the precision grid, each from its lowest point on.
#[derive(Default, PartialEq, Eq, PartialOrd, Ord)]
struct Rings {
    shell: Vec<Point>,
    holes: Vec<Vec<Point>>,
}

impl Rings {
    /// Adds a ring: the one that runs counter-clockwise is the shell. Interiors are connected, so
    /// there is no second.
    fn add(&mut self, mut ring: Vec<Point>) {
        let lowest = (0..ring.len()).min_by_key(|&i| ring[i]).unwrap_or(0);
        ring.rotate_left(lowest);
        // the lowest corner turns the way the ring does
        if turn(ring[ring.len() - 1], ring[0], ring[1]) > 0 {
            self.shell = ring;
        } else {
            self.holes.push(ring);
        }
    }

    fn polygon(&self, grid: &PrecisionGrid) -> Polygon {
        let metres = |ring: &Vec<Point>| ring.iter().map(|&p| grid.metres(p)).collect();
        Polygon { shell: metres(&self.shell), holes: self.holes.iter().map(metres).collect() }
    }
}

/// Cuts a walk that passes a node twice into rings that pass each node once.
///
/// Such a walk never crosses itself, so its rings touch at single points: a shell and its holes.
struct RingCutter {
    stack: Vec<u32>,
    /// The place of each node in the stack.
    place: Vec<Option<u32>>,
}

impl RingCutter {
    fn new(nodes: usize) -> Self {
        Self { stack: Vec::new(), place: vec![None; nodes] }
    }

    fn cut(&mut self, walk: impl Iterator<Item = u32>, mut ring: impl FnMut(&[u32])) {
        for node in walk {
            if let Some(place) = self.place[node as usize] {
                ring(&self.stack[place as usize..]);
                for passed in self.stack.drain(place as usize..) {
                    self.place[passed as usize] = None;
                }
            }
            self.place[node as usize] = Some(self.stack.len() as u32);
            self.stack.push(node);
        }
        ring(&self.stack);
        self.stack.drain(..).for_each(|passed| self.place[passed as usize] = None);
    }
}
