//! What a plan says of one planting zone.

use std::collections::BTreeMap;

use super::assemble::Parts;
use super::case::Case;
use super::reasons::{best_of, why_left};
use super::rows::{ClassRow, Reach, ZoneRow};
use super::zone_reasons::{why_short, why_zone};
use crate::ground::GroundLayer;
use crate::site::{Site, Treatment, ZoneFactor};
use crate::units::{GroundHectares, PlanHectares};
use crate::zones::{ClassCode, Classes, GroundStatistics, SlopeGroup, Step, Zone};

/// A class where the layer has a hole.
const NOT_KNOWN: &str = "unknown";

pub(super) fn zone_row(parts: &Parts, case: &Case, at: usize, left: f64) -> ZoneRow {
    let zone = &parts.zones.zones[at];
    let statistics = &zone.statistics;
    let (fits, demand) = (&parts.fits[at], &parts.demands[at]);
    let runner_up = parts.mosaic.assignment.runner_up[at];
    let best = best_of(parts.library.stocks().iter().zip(fits).enumerate());
    // Nothing is left where nothing was to be planted yet.
    let left_share = if parts.reach == Reach::Zones { 0.0 } else { left };
    let word = |part: Option<&'static str>| part.unwrap_or(NOT_KNOWN).to_owned();
    let reckoned = |layer: GroundLayer| parts.ground.layer(layer).is_some();
    let mean = |layer: GroundLayer| statistics.means.get(&layer).copied();
    let made_of = made_of(zone, parts.site);
    let [slope_p10_deg, slope_p50_deg, slope_p90_deg] = statistics.slope_quantiles_deg;
    let [elevation_min_m, elevation_mean_m, elevation_max_m] = statistics.elevation_m;
    ZoneRow {
        zone_id: zone.id.clone(),
        slope_group: word(statistics.dominant(ClassCode::slope).map(SlopeGroup::letter)),
        wetness_class: reckoned(GroundLayer::WetnessIndex).then(|| {
            word(statistics.dominant(|code| code.unpack().wetness).flatten().map(Step::wetness))
        }),
        sun_class: reckoned(GroundLayer::SunRatio)
            .then(|| word(statistics.dominant(|code| code.unpack().sun).flatten().map(Step::sun))),
        exposure_class: reckoned(GroundLayer::Exposure).then(|| {
            word(statistics.dominant(|code| code.unpack().exposure).flatten().map(Step::exposure))
        }),
        frost_class: reckoned(GroundLayer::FrostIndex).then(|| {
            word(statistics.dominant(|code| code.unpack().frost).flatten().map(Step::frost))
        }),
        cover_treatment: word(
            statistics.dominant(|code| code.unpack().treatment).map(Treatment::key),
        ),
        plan_area_ha: PlanHectares::from_m2(zone.plan_m2),
        ground_area_ha: GroundHectares::from_m2(ground_m2(zone.plan_m2, statistics)),
        slope_mean_deg: statistics.slope_mean_deg,
        slope_p10_deg,
        slope_p50_deg,
        slope_p90_deg,
        slope_steps_plan_ha: statistics.slope_histogram_m2.map(PlanHectares::from_m2).to_vec(),
        elevation_min_m,
        elevation_mean_m,
        elevation_max_m,
        wetness_mean: mean(GroundLayer::WetnessIndex),
        sun_ratio_mean: mean(GroundLayer::SunRatio),
        exposure_mean_deg: mean(GroundLayer::Exposure),
        frost_index_mean: mean(GroundLayer::FrostIndex),
        mean_width_m: zone.shape.mean_width_m,
        widest_m: zone.shape.widest_m,
        border_drift_m2: zone.drift_m2,
        short_reason: why_short(zone, parts.site),
        best_fit: best
            .filter(|(_, (_, fit))| fit.fit >= parts.site.mosaic.fit_floor)
            .map(|(_, (stock, _))| stock.id.clone()),
        slope_group_plan_ha: by_letter(statistics),
        class_share: made_of.first().map_or(0.0, |first| first.share),
        reason: why_zone(&made_of, zone.is_drawn),
        made_of,
        merged_regions: zone.made_of.values().sum(),
        runner_up: runner_up.map(|second| parts.library.stocks()[second.line].id.clone()),
        runner_up_less: runner_up.map(|second| second.less_per_ha),
        gap_share: demand.gap_share,
        left_share,
        left_reason: why_left(case, at, left_share),
        geometry: zone.geometry.clone(),
    }
}

/// Every class of a zone's ground, and every class of a patch that went into it.
fn made_of(zone: &Zone, site: &Site) -> Vec<ClassRow> {
    let areas = zone.statistics.by_zone_class(site);
    let all: f64 = areas.values().sum();
    let mut codes: Vec<_> = areas.keys().chain(zone.made_of.keys()).copied().collect();
    codes.sort_unstable();
    codes.dedup();
    let area = |code: &ClassCode| areas.get(code).copied().unwrap_or(0.0);
    codes.sort_by(|a, b| area(b).total_cmp(&area(a)));
    let row = |code: &ClassCode| ClassRow {
        classes: class_words(code.unpack(), site),
        regions: zone.made_of.get(code).copied().unwrap_or(0),
        plan_area_ha: PlanHectares::from_m2(area(code)),
        share: if all > 0.0 { area(code) / all } else { 0.0 },
    };
    codes.iter().map(row).collect()
}

/// The factors that bound zones, each with its class.
fn class_words(classes: Classes, site: &Site) -> BTreeMap<&'static str, String> {
    let own = |factor: &ZoneFactor| match factor {
        ZoneFactor::SlopeGroup => ("slope_group", classes.slope.letter()),
        ZoneFactor::WetnessClass => {
            ("wetness_class", classes.wetness.map_or(NOT_KNOWN, Step::wetness))
        }
        ZoneFactor::SunClass => ("sun_class", classes.sun.map_or(NOT_KNOWN, Step::sun)),
        ZoneFactor::ExposureClass => {
            ("exposure_class", classes.exposure.map_or(NOT_KNOWN, Step::exposure))
        }
        ZoneFactor::FrostClass => ("frost_class", classes.frost.map_or(NOT_KNOWN, Step::frost)),
        ZoneFactor::CoverTreatment => ("cover_treatment", classes.treatment.key()),
    };
    let factors = site.zones.factors.iter().map(own).map(|(name, word)| (name, word.to_owned()));
    let bands = site.zones.bands.iter().zip(classes.bands);
    let bands = bands.map(|(rule, step)| {
        (rule.layer.name(), step.map_or_else(|| NOT_KNOWN.to_owned(), |step| rule.words(step)))
    });
    factors.chain(bands).collect()
}

/// Area along the slope, with ground that is not known taken as level.
pub(super) fn ground_m2(plan_m2: f64, statistics: &GroundStatistics) -> f64 {
    statistics.ground_m2 + (plan_m2 - statistics.known_m2).max(0.0)
}

fn by_letter(statistics: &GroundStatistics) -> BTreeMap<String, PlanHectares> {
    let named =
        |(group, area): (SlopeGroup, f64)| (group.letter().to_owned(), PlanHectares::from_m2(area));
    statistics.by_slope_group().into_iter().map(named).collect()
}
