//! What the ground of a polygon is like, from the exact share of each cell under it.

use std::collections::BTreeMap;

use super::cells::CellShare;
use super::classes::{ClassCode, SlopeGroup};
use super::kinds::class_at;
use crate::ground::Ground;
use crate::site::{Site, Treatment};

/// Statistics of the ground under a polygon. Areas are square metres of map unless named.
#[derive(Debug, Clone)]
pub struct GroundStatistics {
    /// Map area of the cells under it that are known.
    pub known_m2: f64,
    /// Area along the slope.
    pub ground_m2: f64,
    /// Area-weighted mean slope, degrees; 0 where nothing is known.
    pub slope_mean_deg: f64,
    /// Slope that 90 % of the area does not exceed, degrees.
    pub slope_p90_deg: f64,
    /// Area-weighted mean elevation, metres.
    pub elevation_mean_m: f64,
    /// Map area of each full class.
    pub by_class: BTreeMap<ClassCode, f64>,
    /// Map area steeper than 15, 22 and 35 degrees.
    pub steeper_m2: [f64; 3],
}

/// Slopes at which the usual cautions begin, degrees: wheeled machines, tracked machines, planting
/// by hand. Source: common practice, numbers from memory; local safety rules decide.
pub const CAUTION_SLOPES_DEG: [f64; 3] = [15.0, 22.0, 35.0];

impl GroundStatistics {
    /// Gathers them. Cost: n log n in the cells, for the quantile.
    #[must_use]
    pub fn of(cells: &[CellShare], ground: &Ground, site: &Site) -> Self {
        let cell_area = ground.grid().cell_area();
        let mut slopes = Vec::with_capacity(cells.len());
        let mut sums = Self::empty();
        for cell in cells {
            let at = cell.at as usize;
            let Some(code) = class_at(ground, site, at) else { continue };
            let area = f64::from(cell.share) * cell_area;
            let slope = f64::from(ground.slope_deg.cells()[at]);
            sums.known_m2 += area;
            sums.ground_m2 += area * ground.area_factor(at);
            sums.slope_mean_deg += area * slope;
            sums.elevation_mean_m += area * f64::from(ground.elevation_m.cells()[at]);
            *sums.by_class.entry(code).or_default() += area;
            for (steeper, from) in sums.steeper_m2.iter_mut().zip(CAUTION_SLOPES_DEG) {
                *steeper += if slope > from { area } else { 0.0 };
            }
            slopes.push((slope, area));
        }
        if sums.known_m2 > 0.0 {
            sums.slope_mean_deg /= sums.known_m2;
            sums.elevation_mean_m /= sums.known_m2;
            sums.slope_p90_deg = weighted_quantile(&mut slopes, 0.9);
        }
        sums
    }

    fn empty() -> Self {
        Self {
            known_m2: 0.0,
            ground_m2: 0.0,
            slope_mean_deg: 0.0,
            slope_p90_deg: 0.0,
            elevation_mean_m: 0.0,
            by_class: BTreeMap::new(),
            steeper_m2: [0.0; 3],
        }
    }

    /// Map area by slope group.
    #[must_use]
    pub fn by_slope_group(&self) -> BTreeMap<SlopeGroup, f64> {
        self.by_part(|code| code.unpack().slope)
    }

    /// The part of the classes that holds most of the area; the first among equals.
    #[must_use]
    pub fn dominant<T: Ord + Copy>(&self, part: impl Fn(ClassCode) -> T) -> Option<T> {
        let areas = self.by_part(part);
        let most = areas.values().copied().fold(0.0, f64::max);
        areas.into_iter().find(|(_, area)| *area >= most).map(|(one, _)| one)
    }

    /// Map area whose class, as zones see it, is not the zone's own.
    #[must_use]
    pub fn moved_m2(&self, site: &Site) -> f64 {
        let factors = &site.zones.factors;
        let planted = |code: &ClassCode| {
            matches!(code.unpack().treatment, Treatment::Plant | Treatment::Infill)
        };
        let Some(own) = self.dominant(|code| code.bounded_by(factors)) else { return 0.0 };
        let moved = |(code, area): (&ClassCode, &f64)| {
            if planted(code) && code.bounded_by(factors) != own { *area } else { 0.0 }
        };
        self.by_class.iter().map(moved).sum()
    }

    fn by_part<T: Ord>(&self, part: impl Fn(ClassCode) -> T) -> BTreeMap<T, f64> {
        let mut areas = BTreeMap::new();
        for (code, area) in &self.by_class {
            *areas.entry(part(*code)).or_default() += area;
        }
        areas
    }
}

/// The value that a share of the weight does not exceed.
///
/// `values` holds (value, weight) pairs and is sorted in place; 0 when there are none.
fn weighted_quantile(values: &mut [(f64, f64)], share: f64) -> f64 {
    values.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let total: f64 = values.iter().map(|(_, weight)| weight).sum();
    let mut below = 0.0;
    for (value, weight) in values.iter() {
        below += weight;
        if below >= share * total {
            return *value;
        }
    }
    values.last().map_or(0.0, |(value, _)| *value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantile_counts_weight_not_cells() {
        let mut values = [(30.0, 1.0), (10.0, 8.0), (20.0, 1.0)];
        assert!((weighted_quantile(&mut values, 0.8) - 10.0).abs() < 1e-12);
        assert!((weighted_quantile(&mut values, 0.85) - 20.0).abs() < 1e-12);
        assert!((weighted_quantile(&mut values, 1.0) - 30.0).abs() < 1e-12);
        assert!(weighted_quantile(&mut [], 0.9).abs() < 1e-12);
    }
}
