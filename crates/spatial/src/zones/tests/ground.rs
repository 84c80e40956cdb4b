//! What the ground of a piece is like, cell by cell.

use std::collections::BTreeMap;

use geo::MultiPolygon;
use proptest::prelude::*;

use super::super::{CAUTION_SLOPES_DEG, GroundStatistics, SLOPE_STEP_DEG, SLOPE_STEPS, SlopeGroup};
use super::made_up::{Property, seeds};
use super::{ClassCode, classes, share};
use crate::ground::GroundLayer;

/// How far sums may differ from those of shares in single precision.
const NEAR: f64 = 1e-5;

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() <= NEAR * (1.0 + other.abs())
}

/// A known cell under a piece.
struct Part {
    at: usize,
    m2: f64,
    slope_deg: f64,
    code: ClassCode,
}

fn parts(property: &Property, area: &MultiPolygon<f64>) -> Vec<Part> {
    let grid = property.ground.grid();
    let part = |at: usize| {
        let m2 = share(area, grid, at) * grid.cell_area();
        let code = ClassCode::pack(classes(property, at)?);
        let slope_deg = f64::from(property.ground.slope_deg.cells()[at]);
        (m2 > 0.0).then_some(Part { at, m2, slope_deg, code })
    };
    (0..grid.len()).filter_map(part).collect()
}

fn check(
    property: &Property,
    area: &MultiPolygon<f64>,
    found: &GroundStatistics,
) -> Result<(), TestCaseError> {
    let parts = parts(property, area);
    let sum = |of: &dyn Fn(&Part) -> f64| parts.iter().map(of).sum::<f64>();
    let known_m2 = sum(&|part| part.m2);
    prop_assert!(near(found.known_m2, known_m2), "{} of {known_m2} m²", found.known_m2);
    if known_m2 < 1.0 {
        return Ok(());
    }
    let ground_m2 = sum(&|part| part.m2 / part.slope_deg.to_radians().cos());
    prop_assert!(near(found.ground_m2, ground_m2), "{} of {ground_m2} m²", found.ground_m2);
    let mean = sum(&|part| part.m2 * part.slope_deg) / known_m2;
    prop_assert!(near(found.slope_mean_deg, mean), "{} for {mean}", found.slope_mean_deg);
    for (step, m2) in found.slope_histogram_m2.iter().enumerate() {
        let from = step as f64 * SLOPE_STEP_DEG;
        let to = if step + 1 == SLOPE_STEPS { 90.0 } else { from + SLOPE_STEP_DEG };
        let is_in = |slope: f64| from <= slope && slope < to;
        let expected = sum(&|part| if is_in(part.slope_deg) { part.m2 } else { 0.0 });
        prop_assert!(near(*m2, expected), "{m2} for {expected} m² from {from} degrees");
    }
    for (m2, from) in found.steeper_m2.iter().zip(CAUTION_SLOPES_DEG) {
        let expected = sum(&|part| if part.slope_deg > from { part.m2 } else { 0.0 });
        prop_assert!(near(*m2, expected), "{m2} for {expected} m² steeper than {from}");
    }
    for (slope, quantile) in found.slope_quantiles_deg.iter().zip([0.1, 0.5, 0.9]) {
        let upto = |most: f64| sum(&|part| if part.slope_deg <= most { part.m2 } else { 0.0 });
        let (below, with) = (upto(slope - 0.011), upto(slope + 0.011));
        let wanted = quantile * known_m2;
        prop_assert!(below <= wanted * (1.0 + NEAR), "{slope}: {below} of {wanted} m²");
        prop_assert!(with >= wanted * (1.0 - NEAR), "{slope}: {with} of {wanted} m²");
    }
    let heights = property.ground.elevation_m.cells();
    let height = |part: &Part| f64::from(heights[part.at]);
    let mean = sum(&|part| part.m2 * height(part)) / known_m2;
    prop_assert!(near(found.elevation_m[1], mean), "{} for {mean} m", found.elevation_m[1]);
    // Of a cell that is barely touched nobody knows.
    let over = |least_m2: f64| parts.iter().filter(move |part| part.m2 > least_m2).map(height);
    let [lowest, _, highest] = found.elevation_m;
    let least = |heights: &mut dyn Iterator<Item = f64>| heights.fold(f64::INFINITY, f64::min);
    let most = |heights: &mut dyn Iterator<Item = f64>| heights.fold(0.0, f64::max);
    prop_assert!(least(&mut over(0.0)) <= lowest && lowest <= least(&mut over(1e-3)));
    prop_assert!(most(&mut over(1e-3)) <= highest && highest <= most(&mut over(0.0)));

    for layer in [
        GroundLayer::WetnessIndex,
        GroundLayer::SunRatio,
        GroundLayer::Exposure,
        GroundLayer::FrostIndex,
    ] {
        let (mut m2, mut total) = (0.0, 0.0);
        for part in &parts {
            let value =
                property.ground.layer(layer).map_or(f32::NAN, |layer| layer.cells()[part.at]);
            if !value.is_nan() {
                m2 += part.m2;
                total += part.m2 * f64::from(value);
            }
        }
        let mean = found.means.get(&layer);
        if m2 > 1e-3 {
            prop_assert!(mean.is_some_and(|mean| near(*mean, total / m2)), "{layer:?}: {mean:?}");
        } else if m2 <= 0.0 {
            prop_assert_eq!(mean, None);
        }
    }
    let mut by_class: BTreeMap<ClassCode, f64> = BTreeMap::new();
    for part in &parts {
        *by_class.entry(part.code).or_default() += part.m2;
    }
    for (code, m2) in &by_class {
        let own = found.by_class.get(code).copied().unwrap_or(0.0);
        prop_assert!(near(own, *m2), "{own} for {m2} m² of {code:?}");
    }
    prop_assert!(found.by_class.keys().all(|code| by_class.contains_key(code)));
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn statistics_are_those_of_cells_one_by_one(seed in seeds()) {
        let property = seed.property();
        let drawn = property.zones();
        for zone in &drawn.zones {
            check(&property, &zone.geometry, &zone.statistics)?;
        }
        for stand in &drawn.stands {
            check(&property, &stand.geometry, &stand.statistics)?;
        }
    }

    /// How much of each zone is of another class than most of it, and where ground to plant lies.
    #[test]
    fn the_report_tells_what_merging_moved(seed in seeds()) {
        let property = seed.property();
        let drawn = property.zones();
        let factors = &property.site.zones.factors;
        let (mut all, mut moved) = (0.0, 0.0);
        let mut to_plant = [0.0; 7];
        let mut named = [0.0; 7];
        for zone in &drawn.zones {
            let mut seen: BTreeMap<ClassCode, f64> = BTreeMap::new();
            let mut by_group = [0.0; 7];
            for part in parts(&property, &zone.geometry) {
                let own = part.code.unpack();
                by_group[own.slope as usize] += part.m2;
                if own.treatment.is_planted() {
                    to_plant[own.slope as usize] += part.m2;
                    *seen.entry(part.code.bounded_by(factors)).or_default() += part.m2;
                }
            }
            let whole: f64 = seen.values().sum();
            all += whole;
            moved += whole - seen.values().copied().fold(0.0, f64::max);
            // Of groups that are nearly equal either may be said to be the most.
            let most = by_group.iter().copied().fold(0.0, f64::max);
            let own = zone.statistics.dominant(ClassCode::slope);
            prop_assert!(own.is_none_or(|own| near(by_group[own as usize], most)));
            if let Some(own) = own {
                named[own as usize] += zone.plan_m2;
            }
        }
        let told = &drawn.merging;
        prop_assert_eq!(told.zones, drawn.zones.len());
        let share = if all > 0.0 { moved / all } else { 0.0 };
        prop_assert!(near(told.moved_share, share), "{} for {share}", told.moved_share);
        prop_assert!(near(told.moved_plan_ha.0 * 1e4, moved), "{moved} m²: {told:?}");
        for (group, row) in SlopeGroup::ALL.into_iter().zip(&told.by_slope_group) {
            prop_assert_eq!(&row.slope_group, group.letter());
            let (in_zones, named) = (to_plant[group as usize], named[group as usize]);
            prop_assert!(near(row.in_zones_plan_ha.0 * 1e4, in_zones), "{in_zones}: {row:?}");
            prop_assert!(near(row.named_plan_ha.0 * 1e4, named), "{named}: {row:?}");
        }
    }
}
