//! Where survivors will be counted: circular plots in every zone that is planted.

use geo::buffer::Buffer;
use geo::{Area, MultiPolygon};
use rayon::prelude::*;
use setout::{Face, Manner, Outline, Setting, set_out};
use terrain::Raster;

use super::positions::{corners, window};
use super::{LineDemand, Planting};
use crate::ground::Ground;
use crate::problem::Problem;
use crate::site::PlotRules;
use crate::units::M2_PER_HA;
use crate::zones::Zone;

/// Confidence of the interval that plots are to give.
const CONFIDENCE: f64 = 0.95;
/// Closest that plots may lie, as a share of the side of the square that holds one.
const LEAST_SHARE: f64 = 0.5;

/// A plot.
#[derive(Debug, Clone, PartialEq)]
pub struct Plot {
    /// Position of its zone.
    pub zone: usize,
    /// Number in its zone, counted from 1.
    pub number: u32,
    /// Its middle: easting and northing in the plan's coordinate system, metres.
    pub at: [f64; 2],
    /// Slope there, degrees.
    pub slope_deg: f64,
    /// Radius of the circle laid out along the slope, metres: with the plot's area on the map.
    pub radius_m: f64,
    /// Plants that it holds by the zone's density.
    pub plants: f64,
}

/// Lays plots out in every planted zone, all over it and apart from each other, whole plots within
/// the zone where it is wide enough; and tells of zones where it is not.
///
/// As many as give the wanted half-width of the interval at the expected survival, and at least the
/// site's least number; no more than cover a third of the zone. Same input, same plots on any
/// number of threads. Without `plots.plan_area_ha` there are none.
///
/// Source: geometry for the radius; the number by [`tally::plots_needed`].
#[must_use]
pub fn plots(planting: &Planting<'_>, seed: u64) -> (Vec<Plot>, Vec<Problem>) {
    let Planting { zones, ground, site, blocks, .. } = *planting;
    let Some(area_ha) = site.plots.plan_area_ha else { return Default::default() };
    let planted = |zone: &usize| blocks.iter().any(|one| one.zone == *zone && one.seedlings > 0);
    let zone_numbers: Vec<usize> = (0..zones.zones.len()).filter(planted).collect();
    let laid: Vec<(Vec<Plot>, bool)> = zone_numbers
        .par_iter()
        .map(|at| {
            let Some((_, demand)) = planting.mixture(*at) else { return (Vec::new(), true) };
            let survey = Survey { zone: &zones.zones[*at], demand, area_ha, rules: &site.plots };
            survey.lay(*at, ground, seed)
        })
        .collect();
    let narrow: Vec<&str> = zone_numbers
        .iter()
        .zip(&laid)
        .filter(|(_, (_, fits))| !fits)
        .map(|(at, _)| zones.zones[*at].id.as_str())
        .collect();
    let mut warnings = Vec::new();
    if !narrow.is_empty() {
        warnings.push(
            Problem::warning("plots.plan_area_ha")
                .file(&site.file)
                .found(format!("plots that reach beyond their zone: in {}", narrow.join(", ")))
                .expected("zones that a whole plot fits into")
                .remedy("count there only what stands in the zone, or lay out smaller plots"),
        );
    }
    (laid.into_iter().flat_map(|(plots, _)| plots).collect(), warnings)
}

/// One zone that is to be surveyed.
struct Survey<'a> {
    zone: &'a Zone,
    demand: LineDemand,
    area_ha: f64,
    rules: &'a PlotRules,
}

impl Survey<'_> {
    /// Its plots, and whether all lie wholly within.
    fn lay(&self, at: usize, ground: &Ground, seed: u64) -> (Vec<Plot>, bool) {
        let flat = (self.area_ha * M2_PER_HA / std::f64::consts::PI).sqrt();
        let inner = self.zone.geometry.buffer(-flat);
        let fits = inner.unsigned_area() > 0.0;
        let shape = if fits { &inner } else { &self.zone.geometry };
        let number = self.number();
        let places = spread(shape, number, ground, seed ^ at as u64);
        let plot = |(number, place): (u32, [f64; 2])| {
            let grid = ground.grid();
            let cell = grid.cell_at(place[0], place[1]).map(|(row, col)| grid.index(row, col));
            let slope = cell.map_or(f64::NAN, |cell| f64::from(ground.slope_deg.cells()[cell]));
            let slope_deg = if slope.is_finite() { slope } else { 0.0 };
            Plot {
                zone: at,
                number,
                at: place,
                slope_deg,
                radius_m: tally::plot_radius_m(self.area_ha, slope_deg).unwrap_or(flat),
                plants: self.plants_a_plot(),
            }
        };
        ((1..).zip(places).map(plot).collect(), fits)
    }

    /// Plants on the map area of one plot, the zone over.
    fn plants_a_plot(&self) -> f64 {
        self.demand.plants / self.zone.plan_m2 * self.area_ha * M2_PER_HA
    }

    fn number(&self) -> usize {
        let density_sph = self.plants_a_plot() / self.area_ha;
        let survival = self.demand.survival().min(0.99);
        let needed = tally::plots_needed(
            self.rules.half_width,
            survival,
            CONFIDENCE,
            density_sph,
            self.area_ha,
        );
        let needed = needed.map_or(0, |needed| needed.plots as usize);
        let most = self.zone.plan_m2 / (3.0 * self.area_ha * M2_PER_HA);
        needed.max(self.rules.least).min((most as usize).max(1))
    }
}

/// Places all over a shape and apart from each other.
fn spread(shape: &MultiPolygon<f64>, number: usize, ground: &Ground, seed: u64) -> Vec<[f64; 2]> {
    let Some(window) = window(ground.grid(), shape) else { return Vec::new() };
    // On the map: plots are found by map and compass, or by their coordinates.
    let flat = Raster::filled(window.grid, 0.0_f32);
    let evenly = Raster::filled(window.grid, 1.0_f32);
    let spacing_m = (shape.unsigned_area() / number as f64).sqrt();
    let asked = Setting {
        manner: Manner::Scattered,
        plants: number,
        spacing_m,
        least_share: LEAST_SHARE,
        seed,
    };
    // Cells fine beside a zone's width rather than beside the distance of plots.
    let finest = window.grid.cell_width().max(window.grid.cell_height());
    let face = Face::new(&flat, &evenly, Outline::new(&corners(shape)), finest);
    let out = face.map(|face| set_out(&face, &asked).positions).unwrap_or_default();
    out.iter().map(|position| [position.x, position.y]).collect()
}

#[cfg(test)]
mod tests {
    use geo::Rect;
    use terrain::Grid;

    use super::*;
    use crate::offers::fixture;

    /// Plots of 100 m² in a strip 300 m long: its plots, and whether they lie wholly within.
    fn strip(wide_m: f64) -> (Vec<Plot>, bool) {
        let [west, south] = fixture::CORNER;
        let mut zone = fixture::zones(&[100.0]).zones.remove(0);
        zone.geometry =
            Rect::new((west, south), (west + 300.0, south + wide_m)).to_polygon().into();
        zone.plan_m2 = 300.0 * wide_m;
        let grid = Grid::new(60, 10, west, south + 50.0, 5.0, 5.0).unwrap();
        let level = |value: f32| Raster::filled(grid, value).into();
        let ground = Ground::sloping(level(100.0), level(0.0));
        let rules = PlotRules { plan_area_ha: Some(0.01), half_width: 0.2, least: 3 };
        let survey = Survey { zone: &zone, demand: fixture::DEMAND, area_ha: 0.01, rules: &rules };
        survey.lay(0, &ground, 7)
    }

    /// A circle of 100 m² is 11.28 m across. By hand: 3,000 plants on 300 m × 12 m are 83.3 on a plot.
    #[test]
    fn plots_lie_within_a_zone_that_is_just_as_wide() {
        let (plots, fits) = strip(12.0);
        assert!(fits && plots.len() == 3, "{plots:?}");
        for (number, plot) in (1..).zip(&plots) {
            assert_eq!(plot.number, number);
            assert!((plot.radius_m - 5.641_895_835).abs() < 1e-6, "{plot:?}");
            assert!((plot.plants - 3_000.0 * 100.0 / 3_600.0).abs() < 1e-9, "{plot:?}");
            let from_edge =
                (plot.at[1] - fixture::CORNER[1]).min(fixture::CORNER[1] + 12.0 - plot.at[1]);
            assert!(from_edge > 5.64, "{plot:?}");
        }
        let (plots, fits) = strip(11.0);
        assert!(!fits && plots.len() == 3, "{plots:?}");
    }

    /// No more plots than cover a third of a zone, whatever is asked for, and always one.
    #[test]
    fn plots_cover_no_more_than_a_third() {
        assert_eq!(strip(2.0).0.len(), 2, "600 m²");
        assert_eq!(strip(0.5).0.len(), 1, "150 m²");
    }
}
