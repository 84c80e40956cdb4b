//! Places where a mother tree may be looked for.

use geo::{BoundingRect, Contains, Intersects, MultiPolygon, Point};
use sourcing::sample::{Lattice, thinned};

use super::tree_list::ListedTree;
use crate::pipeline::Zoned;
use crate::zones::Stand;

/// A place in a stand, and what its ground is like.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    /// Name of a tree that is known already.
    pub(super) id: Option<String>,
    /// Easting and northing, metres.
    pub(super) at: [f64; 2],
    /// Position among the sampled stands.
    pub(super) stand: usize,
    /// Elevation, metres.
    pub(super) elevation_m: f64,
    /// Slope at the working scale, degrees.
    pub(super) slope_deg: f64,
    /// Where it faces, degrees clockwise from north; `None` where it is level.
    pub(super) aspect_deg: Option<f64>,
}

/// What came of looking for places.
#[derive(Debug, Default)]
pub(super) struct Found {
    /// Places, no two nearer than asked for; stand by stand, of each from north to south.
    pub(super) places: Vec<Place>,
    /// Places on ground that is too steep.
    pub(super) too_steep: usize,
    /// Places whose elevation or slope is not known.
    pub(super) unknown: usize,
    /// Listed trees that stand in no sampled stand.
    pub(super) outside: Vec<String>,
    /// Listed trees left out because another stands too near.
    pub(super) crowded: usize,
}

/// Places on a lattice over the stands; none where the distance cannot be.
pub(super) fn on_lattice(zoned: &Zoned, stands: &[&Stand], seed: u64) -> Found {
    let mut found = Found::default();
    let Some(lattice) = Lattice::seeded(zoned.site.seed.apart.0, seed) else { return found };
    for (number, stand) in stands.iter().enumerate() {
        let Some(around) = stand.geometry.bounding_rect() else { continue };
        let bounds = [around.min().x, around.min().y, around.max().x, around.max().y];
        for at in lattice.within(bounds).filter(|at| is_in(&stand.geometry, *at)) {
            found.take(zoned, number, at, None);
        }
    }
    found
}

/// Listed trees that stand in the stands, thinned.
pub(super) fn of_list(zoned: &Zoned, stands: &[&Stand], trees: &[ListedTree], seed: u64) -> Found {
    let mut found = Found::default();
    let stand_of =
        |tree: &ListedTree| stands.iter().position(|stand| is_in(&stand.geometry, tree.at));
    for tree in trees {
        match stand_of(tree) {
            Some(stand) => found.take(zoned, stand, tree.at, Some(tree.id.clone())),
            None => found.outside.push(tree.id.clone()),
        }
    }
    let all = found.places.iter().map(|place| place.at).collect::<Vec<_>>();
    let kept = thinned(&all, zoned.site.seed.apart.0, seed);
    found.crowded = all.len() - kept.len();
    found.places = kept.into_iter().map(|at| found.places[at].clone()).collect();
    let order = |a: &Place, b: &Place| {
        a.stand.cmp(&b.stand).then(b.at[1].total_cmp(&a.at[1])).then(a.at[0].total_cmp(&b.at[0]))
    };
    found.places.sort_by(order);
    found
}

impl Found {
    /// Takes a place, unless its ground is not known or too steep.
    fn take(&mut self, zoned: &Zoned, stand: usize, at: [f64; 2], id: Option<String>) {
        let ground = &zoned.ground;
        let known = value_at(&ground.elevation_m, at).zip(value_at(&ground.slope_deg, at));
        let Some((elevation_m, slope_deg)) = known else {
            self.unknown += 1;
            return;
        };
        if zoned.site.seed.steepest_deg.is_some_and(|most| slope_deg > most) {
            self.too_steep += 1;
            return;
        }
        let aspect_deg = value_at(&zoned.aspect_deg, at);
        self.places.push(Place { id, at, stand, elevation_m, slope_deg, aspect_deg });
    }
}

/// What a raster has at a place; `None` in a hole and beyond it.
pub(super) fn value_at(raster: &terrain::Raster<f32>, [x, y]: [f64; 2]) -> Option<f64> {
    let (row, col) = raster.grid().cell_at(x, y)?;
    raster.get(row, col).map(f64::from).filter(|value| value.is_finite())
}

/// Whether a place lies in an area and not on its border.
fn is_in(area: &MultiPolygon<f64>, [x, y]: [f64; 2]) -> bool {
    let place = Point::new(x, y);
    area.bounding_rect().is_some_and(|bounds| bounds.intersects(&place)) && area.contains(&place)
}
