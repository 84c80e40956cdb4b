//! What has been made of a piece of ground, and what of it stays the same under other rules.

use std::collections::BTreeMap;
use std::sync::Arc;

use terrain::{Raster, Shadows};

use super::derive::needs;
use super::{Footing, GroundLayer};
use crate::problem::Problem;

/// Layers that have been made, those between elevation and what was asked for too.
///
/// Cost: 4 bytes a cell for each layer, and 4 for every 32 suns whose shadows are kept.
#[derive(Debug, Clone, Default)]
pub(super) struct Made {
    pub(super) layers: BTreeMap<GroundLayer, Arc<Raster<f32>>>,
    /// What the reader should know about how each was made.
    pub(super) notes: BTreeMap<GroundLayer, Vec<Problem>>,
    /// Shadows of the land, where they are kept.
    pub(super) shadows: Option<Arc<Shadows>>,
}

impl Made {
    /// What of it `now` would make again as `was` did: of the same elevation, streams, climate and place. Layers that are
    /// `given` no rule changes.
    pub(super) fn unchanged(
        &self,
        was: &Footing<'_>,
        now: &Footing<'_>,
        given: &[GroundLayer],
    ) -> Self {
        let stays = |layer: GroundLayer| stays(layer, was, now, given);
        let layers = self.layers.iter().filter(|(layer, _)| stays(**layer));
        let notes = self.notes.iter().filter(|(layer, _)| stays(**layer));
        Self {
            layers: layers.map(|(layer, raster)| (*layer, Arc::clone(raster))).collect(),
            notes: notes.map(|(layer, notes)| (*layer, notes.clone())).collect(),
            shadows: self.shadows.clone().filter(|_| has_same_sun(was, now)),
        }
    }
}

/// Whether a layer and all that it is made from are made as they were.
fn stays(layer: GroundLayer, was: &Footing<'_>, now: &Footing<'_>, given: &[GroundLayer]) -> bool {
    given.contains(&layer)
        || is_made_alike(layer, was, now)
            && needs(layer).iter().all(|needed| stays(*needed, was, now, given))
}

/// Whether the rules of a layer itself are the same. A rule that a layer comes to read is added here; a test changes every
/// rule of the ground and compares with ground made from nothing.
fn is_made_alike(layer: GroundLayer, was: &Footing<'_>, now: &Footing<'_>) -> bool {
    let (a, b) = (was.rules, now.rules);
    let is_as_exposed = a.exposure == b.exposure && a.exposure_signed == b.exposure_signed;
    match layer {
        GroundLayer::Slope | GroundLayer::Aspect => {
            has_same_scale(was, now) && a.slope_formula == b.slope_formula
        }
        GroundLayer::ProfileCurvature | GroundLayer::PlanCurvature => has_same_scale(was, now),
        GroundLayer::Filled => a.hollows == b.hollows,
        GroundLayer::FlowArea => a.flow == b.flow,
        GroundLayer::WetnessIndex => {
            a.gentlest_slope_deg.to_bits() == b.gentlest_slope_deg.to_bits()
        }
        GroundLayer::SunRatio => has_same_sun(was, now),
        GroundLayer::Exposure => is_as_exposed,
        GroundLayer::WindExposure => is_as_exposed && a.wind_rose == b.wind_rose,
        GroundLayer::SkyView => a.horizon == b.horizon,
        GroundLayer::HeightAboveDrainage => {
            a.stream_from_m2.to_bits() == b.stream_from_m2.to_bits()
        }
        GroundLayer::FrostIndex => a.frost_height == b.frost_height,
        GroundLayer::AnnualMean | GroundLayer::ColdestMonthMin => true,
        GroundLayer::LsFactor => {
            a.ls_by_stream_power == b.ls_by_stream_power && a.ls_longest == b.ls_longest
        }
    }
}

fn has_same_scale(was: &Footing<'_>, now: &Footing<'_>) -> bool {
    was.scale == now.scale && was.rules.smoothing == now.rules.smoothing
}

fn has_same_sun(was: &Footing<'_>, now: &Footing<'_>) -> bool {
    was.rules.horizon == now.rules.horizon && was.sun_months == now.sun_months
}
