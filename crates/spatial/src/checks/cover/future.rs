//! How much of a part of the ground is protected, year by year.

use cover::{Growth, Planting, first_year, shared_cover};
use stock::Library;

use super::kinds::{Footing, Part};
use super::planted::{Block, alive, gap_share, open_per_ha};
use crate::site::{Measure, Site, Treatment};

/// Years after the first planting winter that are looked at.
pub(super) const HORIZON: i32 = 60;

/// One part with what is planted on it.
pub(super) struct Future<'a> {
    pub(super) footing: &'a Footing<'a>,
    /// Share of the ground protected today.
    pub(super) today: f64,
    /// Share of it that stays when the part is planted.
    pub(super) stays: f64,
    /// Share that is open to planting.
    pub(super) gaps: f64,
    /// What is planted on a map hectare of its open ground; empty: nothing.
    pub(super) stems: Vec<Planting>,
    crown: Growth,
    roots: Growth,
}

impl<'a> Future<'a> {
    /// Of a part under the blocks of its zone.
    pub(super) fn of(
        part: &Part,
        blocks: &[Block],
        footing: &'a Footing<'a>,
        plan: Option<(&Site, &Library)>,
    ) -> Self {
        let class = footing.class(part.kind);
        let today = class.map_or(0.0, crate::site::CoverClass::protects);
        let treatment = class.map_or(Treatment::Plant, |class| class.treatment);
        let gaps = gap_share(part, footing);
        let stems = match plan {
            Some((site, library)) if treatment.is_planted() => blocks
                .iter()
                .map(|block| Planting {
                    year: block.years,
                    planted_per_ha: open_per_ha(part, block.line, footing, site, library)
                        * block.share
                        * block.scale,
                    alive: alive(part, block.line, footing, site, library),
                })
                .filter(|planting| planting.planted_per_ha > 0.0)
                .collect(),
            _ => Vec::new(),
        };
        let share = if footing.is_scar(part.kind) { footing.rules.scar_growth } else { 1.0 };
        let growth = |radius_m: &cover::AgeCurve| Growth { radius_m: radius_m.clone(), share };
        Self {
            footing,
            today,
            stays: if treatment == Treatment::Plant { 0.0 } else { today },
            gaps,
            stems,
            crown: growth(&footing.rules.crown_radius_m),
            roots: growth(&footing.rules.root_radius_m),
        }
    }

    /// Share of the ground protected so many years after the first planting winter, 0 to 1, by a measure.
    pub(super) fn at(&self, measure: Measure, years: f64) -> f64 {
        self.with(measure, years, &self.stems)
    }

    /// The same with other plants.
    pub(super) fn with(&self, measure: Measure, years: f64, plantings: &[Planting]) -> f64 {
        if !plantings.iter().any(|planting| planting.year <= years) {
            return self.today;
        }
        let pattern = self.footing.pattern;
        let planted = match measure {
            Measure::Crown => shared_cover(plantings, &self.crown, pattern, years),
            Measure::Roots => shared_cover(plantings, &self.roots, pattern, years),
            Measure::Stand(curve) => {
                // The mean age counts by how many stand.
                let living = |planting: &Planting| planting.planted_per_ha * planting.alive;
                let all: f64 = plantings.iter().map(living).sum();
                let at = |one: &Planting| living(one) * curve.at(years - one.year);
                if all > 0.0 { plantings.iter().map(at).sum::<f64>() / all } else { 0.0 }
            }
        };
        (self.stays + self.gaps * planted).min(1.0)
    }

    /// Living plants on a map hectare of open ground once all are planted.
    pub(super) fn living_per_ha(&self) -> f64 {
        self.stems.iter().map(|one| one.planted_per_ha * one.alive).sum()
    }

    /// Years after the first planting winter from which a share stays at or above the target; `None`:
    /// not within [`HORIZON`].
    pub(super) fn reaches(&self, share: impl Fn(f64) -> f64) -> Option<i32> {
        let target = self.footing.rules.target;
        // What is cleared for a later winter counts until then: the last year below decides.
        let last_below = (0..=HORIZON).rev().find(|years| share(f64::from(*years)) < target);
        let from = last_below.map_or(0, |years| years + 1);
        first_year(from..=HORIZON, target, |years| share(f64::from(years)))
    }
}
