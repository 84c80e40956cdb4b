//! Where the seed of a stock comes from.

/// Where the seed of a stock comes from, as far as it is known.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Origin {
    /// The stand or the tree.
    pub place: Option<Place>,
    /// Its height above sea level, metres.
    pub elevation_m: Option<f64>,
    /// Mother trees that seed was taken from.
    ///
    /// To hold an allele of frequency 0.05 with 95 % chance takes 30 outcrossing plants, 59
    /// gametes (Brown & Marshall, as seed-banking protocols use it).
    pub mothers: Option<u32>,
    /// Name of the seed zone or ecological district, as the layer names it that the user works by.
    pub seed_zone: Option<String>,
    /// Name of the plant, and how it was found. Free text: the genus is being split, and surveys
    /// of its genome disagree on the groups (Koot et al. 2022; Chagné et al. 2023).
    pub taxon: Option<Taxon>,
}

/// Name of a plant, with the collector's ground for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taxon {
    /// The name, as the collector wrote it.
    pub name: String,
    /// What the name rests on: a key, a voucher specimen, a marker, hearsay.
    pub basis: String,
}

/// A place with its coordinate system.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Coordinate system: a registry code, such as `EPSG:2193`, or WKT.
    pub crs: String,
    /// The shape, in that system: east before north, longitude before latitude.
    pub shape: Shape,
}

/// A point or a polygon, its coordinates as RFC 7946 (`GeoJSON`) orders them.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A position.
    Point([f64; 2]),
    /// Rings, the outer one first, then holes; each ends where it begins, after at least four
    /// positions.
    Polygon(Vec<Vec<[f64; 2]>>),
}

impl Shape {
    /// Whether every number is finite, and every ring, of which there is at least one, ends where it
    /// begins after at least four positions. Rings that cross are not looked for.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let is_ring = |ring: &Vec<[f64; 2]>| ring.len() >= 4 && ring.first() == ring.last();
        let is_shape = match self {
            Self::Point(_) => true,
            Self::Polygon(rings) => !rings.is_empty() && rings.iter().all(is_ring),
        };
        is_shape && self.positions().flatten().all(f64::is_finite)
    }

    /// Every position of it.
    pub fn positions(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        let (point, rings): (_, &[Vec<[f64; 2]>]) = match self {
            Self::Point(position) => (Some(*position), &[]),
            Self::Polygon(rings) => (None, rings),
        };
        point.into_iter().chain(rings.iter().flatten().copied())
    }
}
