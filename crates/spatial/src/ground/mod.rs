//! The ground: every factor of the site, cell by cell, on one grid.

mod besides;
mod derive;
mod layer;
mod made;
mod near;
mod season;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rayon::prelude::*;
use stock::Factor;
use terrain::{Grid, Raster};

pub use besides::{AtHand, Besides};
pub(crate) use derive::made_from;
pub use derive::{Derivation, Footing};
pub use layer::GroundLayer;
pub use near::Near;
pub use season::{are_warm, sun_months, sun_rises, winter_months};

use made::Made;

use crate::layout::slope_factor;
use crate::problem::Problem;
use crate::read::Ready;
use crate::site::{Site, WetnessEdges, ZoneFactor, ZoneRules};
use crate::zones::runs_mostly_in;

/// The aligned stack of factor layers.
#[derive(Debug, Clone)]
pub struct Ground {
    /// Elevation, metres.
    pub elevation_m: Arc<Raster<f32>>,
    /// Slope at planting scale, degrees.
    pub slope_deg: Arc<Raster<f32>>,
    /// Further layers, those that the site or its stock ask for.
    pub others: BTreeMap<GroundLayer, Arc<Raster<f32>>>,
    /// Wetness index at which ground becomes moist, then wet: as the site says, or the quantiles;
    /// `None` where the index is not known.
    pub wetness_edges: Option<[f64; 2]>,
    /// Position in the site's cover table plus 1, 0 where unknown; `None` without a cover layer.
    pub cover: Option<Arc<Raster<u8>>>,
    /// Position on the drainage ladder plus 1, 0 where unknown; `None` without the layer.
    pub drainage: Option<Arc<Raster<u8>>>,
    /// Where water and neighbours are near.
    pub near: Arc<Near>,
    /// What the reader should know about how it was made.
    pub notes: Vec<Problem>,
    /// All layers that were made on the way, where they are kept.
    made: Option<Made>,
}

impl Ground {
    /// Ground of which elevation and slope alone are known, metres and degrees.
    #[must_use]
    pub fn sloping(elevation_m: Arc<Raster<f32>>, slope_deg: Arc<Raster<f32>>) -> Self {
        Self {
            elevation_m,
            slope_deg,
            others: BTreeMap::new(),
            wetness_edges: None,
            cover: None,
            drainage: None,
            near: Arc::default(),
            notes: Vec::new(),
            made: None,
        }
    }

    /// The grid of all its layers.
    #[must_use]
    pub fn grid(&self) -> &Grid {
        self.elevation_m.grid()
    }

    /// Ground area over map area of a cell: 1 / cos(slope).
    #[must_use]
    pub fn area_factor(&self, at: usize) -> f64 {
        slope_factor(f64::from(self.slope_deg.cells()[at]))
    }

    /// The numeric factors that are known here, each with its layer.
    #[must_use]
    pub fn factors(&self) -> Vec<(Factor, &Raster<f32>)> {
        let layer_of = |factor: Factor| match factor {
            Factor::ElevationM => Some(&*self.elevation_m),
            other => self.layer(GroundLayer::from_name(other.key())?),
        };
        Factor::NUMERIC.into_iter().filter_map(|one| Some((one, layer_of(one)?))).collect()
    }

    /// A layer, when it is there.
    #[must_use]
    pub fn layer(&self, layer: GroundLayer) -> Option<&Raster<f32>> {
        match layer {
            GroundLayer::Slope => Some(&self.slope_deg),
            other => self.others.get(&other).map(|raster| &**raster),
        }
    }
}

/// Derives slope, and every other factor that the site or its stock asks for: water that flows over
/// the ground and sunlight in the shadow of the land each take longer than all the rest.
///
/// `tolerated`: the factors that the stock names. How each layer is made, and from what source:
/// [`Derivation`]. Layers that the site gives are used instead.
///
/// # Errors
/// When layers that should share a grid do not, or a setting cannot be used.
pub fn ground(ready: &Ready, site: &Site, tolerated: &BTreeSet<Factor>) -> Result<Ground, Problem> {
    let ground = stacked(derivation_of(ready, site), ready, site, tolerated, None)?;
    Ok(Ground { made: None, ..ground })
}

/// The same ground, made to be made again: layers on the way and shadows stay in memory, and of `earlier`, ground of the
/// same layers under other rules, whatever the rules of now would make alike is taken over.
///
/// # Errors
/// As [`ground`].
///
/// # Cost
/// In memory 4 bytes a cell for each layer that is kept (a dozen at most), and 4 for every 32 suns.
pub fn ground_again(
    ready: &Ready,
    site: &Site,
    tolerated: &BTreeSet<Factor>,
    earlier: Option<(&Ground, &Site)>,
) -> Result<Ground, Problem> {
    let earlier = earlier.filter(|(ground, _)| Arc::ptr_eq(&ground.elevation_m, &ready.elevation));
    let unchanged = |(ground, was): (&Ground, &Site)| {
        let given: Vec<GroundLayer> = given(ready).map(|(layer, _)| layer).collect();
        let (was, now) = (footing_of(ready, was), footing_of(ready, site));
        Some(ground.made.as_ref()?.unchanged(&was, &now, &given))
    };
    let mut derivation = derivation_of(ready, site);
    derivation.make_again(earlier.and_then(unchanged).unwrap_or_default());
    stacked(derivation, ready, site, tolerated, earlier.map(|(ground, _)| ground))
}

/// The layers that are asked for, with all that was made on the way.
fn stacked(
    mut derivation: Derivation<'_>,
    ready: &Ready,
    site: &Site,
    tolerated: &BTreeSet<Factor>,
    earlier: Option<&Ground>,
) -> Result<Ground, Problem> {
    let mut asked = asked_for(site, tolerated);
    let at_hand = derivation.footing().at_hand();
    asked.retain(|layer| at_hand.lack(*layer).is_none());
    widen(&mut derivation, ready, GroundLayer::Slope)?;
    if made_from(asked.iter().copied()).contains(&GroundLayer::Aspect) {
        widen(&mut derivation, ready, GroundLayer::Aspect)?;
    } else {
        derivation.forget(GroundLayer::Aspect);
    }
    let layers = asked.into_iter().map(|layer| Ok((layer, Arc::clone(derivation.layer(layer)?))));
    let others = layers.collect::<Result<BTreeMap<_, _>, Problem>>()?;
    let slope_deg = Arc::clone(derivation.layer(GroundLayer::Slope)?);
    let wetness = others.get(&GroundLayer::WetnessIndex);
    let (drainage, near) = if let Some(earlier) = earlier {
        (earlier.drainage.clone(), Arc::clone(&earlier.near))
    } else {
        let ladder = |codes: &Arc<Raster<u8>>| Arc::new(drainage_ladder(codes, site));
        (ready.drainage.as_ref().map(ladder), Arc::new(Near::of(ready)))
    };
    Ok(Ground {
        wetness_edges: wetness.map(|index| wetness_edges(ready, site, index)).transpose()?,
        elevation_m: Arc::clone(&ready.elevation),
        slope_deg,
        others,
        cover: ready.cover.clone(),
        drainage,
        near,
        notes: derivation.notes().cloned().collect(),
        made: Some(derivation.into_made()),
    })
}

/// The layers of a site: those that it gives, and what the others are derived from.
#[must_use]
pub fn derivation_of<'a>(ready: &'a Ready, site: &'a Site) -> Derivation<'a> {
    let mut derivation = Derivation::new(footing_of(ready, site));
    for (layer, raster) in given(ready) {
        derivation.give(layer, Arc::clone(raster));
    }
    derivation
}

fn footing_of<'a>(ready: &'a Ready, site: &'a Site) -> Footing<'a> {
    Footing {
        elevation_m: &ready.elevation,
        property: Some(&ready.boundary),
        rules: &site.ground,
        scale: site.zones.slope_scale,
        latitude_deg: Some(ready.latitude_deg),
        sun_months: site.zones.sun_months.as_deref(),
        streams: ready.streams.as_deref(),
        climate: ready.climate.as_ref(),
    }
}

/// The layers that are not derived.
fn given(ready: &Ready) -> impl Iterator<Item = (GroundLayer, &Arc<Raster<f32>>)> {
    let given = [
        (GroundLayer::Slope, &ready.slope_deg),
        (GroundLayer::Aspect, &ready.aspect_deg),
        (GroundLayer::WetnessIndex, &ready.wetness_index),
    ];
    given.into_iter().filter_map(|(layer, raster)| Some((layer, raster.as_ref()?)))
}

/// Widens slope or aspect by a cell; what was made before is wide.
fn widen(
    derivation: &mut Derivation<'_>,
    ready: &Ready,
    layer: GroundLayer,
) -> Result<(), Problem> {
    if derivation.was_made(layer) {
        return Ok(());
    }
    let mut raster = Arc::unwrap_or_clone(derivation.take(layer)?);
    let widened = widen_by_one(&mut raster, &ready.elevation);
    derivation.give(layer, raster);
    if layer == GroundLayer::Slope && !widened.is_empty() {
        let borrowed = on_property(ready, &widened);
        if borrowed > 0 {
            derivation.note(layer, edge_note(borrowed));
        }
    }
    Ok(())
}

/// What drawing zones asks of the ground: layers, and the rules by which some are made.
pub(crate) fn asked_by_zones(rules: &ZoneRules) -> impl PartialEq + use<'_> {
    let factors: BTreeSet<GroundLayer> =
        rules.factors.iter().copied().filter_map(of_factor).collect();
    let bands: BTreeSet<GroundLayer> = rules.bands.iter().map(|band| band.layer).collect();
    (factors, bands, rules.slope_scale, &rules.wetness_edges, &rules.sun_months)
}

fn of_factor(factor: ZoneFactor) -> Option<GroundLayer> {
    match factor {
        ZoneFactor::WetnessClass => Some(GroundLayer::WetnessIndex),
        ZoneFactor::SunClass => Some(GroundLayer::SunRatio),
        ZoneFactor::ExposureClass => Some(GroundLayer::Exposure),
        ZoneFactor::FrostClass => Some(GroundLayer::FrostIndex),
        _ => None,
    }
}

/// The layers beyond slope, which every plan reads.
fn asked_for(site: &Site, tolerated: &BTreeSet<Factor>) -> BTreeSet<GroundLayer> {
    let by_zones = site.zones.factors.iter().copied().filter_map(of_factor);
    let by_bands = site.zones.bands.iter().map(|band| band.layer);
    let by_stock = tolerated.iter().filter_map(|factor| GroundLayer::from_name(factor.key()));
    let given = site.layers.wetness.is_some().then_some(GroundLayer::WetnessIndex);
    let asked = by_zones.chain(by_bands).chain(by_stock).chain(given);
    asked.filter(|layer| *layer != GroundLayer::Slope).collect()
}

/// Where wetness classes begin on this property.
///
/// # Errors
/// When quantiles are asked for and no cell is known.
pub(crate) fn wetness_edges(
    ready: &Ready,
    site: &Site,
    wetness: &Raster<f32>,
) -> Result<[f64; 2], Problem> {
    Ok(match site.zones.wetness_edges {
        WetnessEdges::Fixed(edges) => edges,
        WetnessEdges::Quantiles(shares) => quantiles(wetness, Some(&of_property(ready)), shares)?,
    })
}

/// Which cells are mostly of the property.
fn of_property(ready: &Ready) -> Raster<bool> {
    let mut own = Raster::filled(ready.grid, false);
    for run in runs_mostly_in(&ready.boundary, &ready.grid) {
        own.cells_mut()[run].fill(true);
    }
    own
}

/// Values of the wetness index that two shares of the ground do not exceed.
///
/// # Errors
/// When no cell is known.
pub(crate) fn quantiles(
    wetness: &Raster<f32>,
    inside: Option<&Raster<bool>>,
    shares: [f64; 2],
) -> Result<[f64; 2], Problem> {
    let fault = |found: String| {
        Problem::error("zones.wetness_quantiles")
            .found(found)
            .expected("a wetness index on some of the property's ground")
            .remedy("set zones.wetness_by = \"edges\", or check the elevation and wetness layers")
    };
    terrain::quantile_edges(wetness, inside, shares)
        .map_err(|error| fault(error.to_string()))?
        .ok_or_else(|| fault("no cell with a wetness index".to_owned()))
}

/// From rows of the site's drainage table to positions on the ladder, both plus 1.
pub(crate) fn drainage_ladder(codes: &Raster<u8>, site: &Site) -> Raster<u8> {
    let table = site.layers.drainage.as_ref().map_or(&[][..], |source| &source.table[..]);
    let position = |code: &u8| {
        let row = table.get(usize::from(*code).wrapping_sub(1));
        row.map_or(0, |row| row.class as u8 + 1)
    };
    codes.map(position)
}

/// The window of a slope needs all eight neighbours, so the outer ring of known elevation has
/// none: each such cell takes the value of a neighbour that has one. Returns those cells, in order.
///
/// Cost: a pass over the cells on all cores; memory for the cells that change.
fn widen_by_one(layer: &mut Raster<f32>, elevation: &Raster<f32>) -> Vec<usize> {
    let cols = layer.grid().cols();
    let (own, heights) = (layer.cells(), elevation.cells());
    let neighbour = |at: usize| {
        let value = known_neighbour(layer, at / cols, at % cols)?;
        Some((at, value))
    };
    let missing = (0..own.len()).into_par_iter().with_min_len(1 << 14);
    let missing = missing.filter(|at| own[*at].is_nan() && !heights[*at].is_nan());
    let found: Vec<(usize, f32)> = missing.filter_map(neighbour).collect();
    for (at, value) in &found {
        layer.cells_mut()[*at] = *value;
    }
    found.into_iter().map(|(at, _)| at).collect()
}

/// How many cells lie on the property; the ring around the halo is of no account.
fn on_property(ready: &Ready, cells: &[usize]) -> usize {
    let runs = runs_mostly_in(&ready.boundary, ready.elevation.grid());
    let within = |run: std::ops::Range<usize>| {
        cells.partition_point(|at| *at < run.end) - cells.partition_point(|at| *at < run.start)
    };
    runs.map(within).sum()
}

/// The first known value around a cell, from the north-west.
fn known_neighbour(layer: &Raster<f32>, row: usize, col: usize) -> Option<f32> {
    let rows = row.saturating_sub(1)..=row + 1;
    let mut around = rows.flat_map(|r| (col.saturating_sub(1)..=col + 1).map(move |c| (r, c)));
    around.find_map(|(r, c)| layer.get(r, c))
}

fn edge_note(cells: usize) -> Problem {
    Problem::warning("elevation, outer ring")
        .found(format!("{cells} cells at the edge of the known ground have no full window"))
        .expected("elevation for at least one cell beyond the boundary on every side")
        .remedy("their slope is a neighbour's; a wider elevation layer removes this")
}
