//! Surveyed polygons, and sets of the layers they come in.

/// A polygon, in metres.
///
/// Rings are closed without repeating their first point (a repeated one does no harm). Polygons that
/// this crate makes have their shell counter-clockwise and their holes clockwise; polygons given to it
/// may have any direction.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Polygon {
    /// The outer ring: easting and northing of each point.
    pub shell: Vec<[f64; 2]>,
    /// The inner rings.
    pub holes: Vec<Vec<[f64; 2]>>,
}

impl Polygon {
    /// The area of the shell less that of the holes, in square metres.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        let hole = |ring: &Vec<[f64; 2]>| doubled_area(ring).abs();
        (doubled_area(&self.shell).abs() - self.holes.iter().map(hole).sum::<f64>()) / 2.0
    }
}

/// Twice the signed area of a ring: positive when it runs counter-clockwise.
pub(crate) fn doubled_area(ring: &[[f64; 2]]) -> f64 {
    let Some(&[x0, y0]) = ring.first() else { return 0.0 };
    let pair = |w: &[[f64; 2]]| (w[0][0] - x0) * (w[1][1] - y0) - (w[1][0] - x0) * (w[0][1] - y0);
    ring.windows(2).map(pair).sum()
}

/// Polygons of one meaning, such as the property or its keep-clear ground.
///
/// A layer covers the union of its polygons, which may overlap. A ring that crosses itself covers the
/// parts it winds round in its main direction.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layer {
    /// The polygons.
    pub polygons: Vec<Polygon>,
}

/// The most layers that a partition takes.
pub(crate) const MOST_LAYERS: usize = 64;

/// A set of layers, each known by its position in the list given to [`partition`](crate::partition()).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LayerSet(u64);

impl LayerSet {
    /// Whether a layer is in the set.
    #[must_use]
    pub fn contains(self, layer: usize) -> bool {
        layer < MOST_LAYERS && self.0 & (1 << layer) != 0
    }

    /// Whether no layer is in the set.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    pub(crate) fn with(self, layer: u8) -> Self {
        Self(self.0 | (1 << layer))
    }
}
