//! What a season says: its rows and figures.

use serde::Serialize;

use super::WeatherRow;
use crate::checks::BriefCaution;
use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::site::{DefaultTaken, SeasonRules};
use crate::units::PlanHectares;

/// The bloom of one property's plan held against weather in which bees fly.
#[derive(Debug, Clone, Serialize)]
pub struct Season {
    /// `hillweave.season/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// Coordinate system of eastings and northings, as `EPSG:code` or WKT.
    pub crs: String,
    /// What was read.
    pub inputs: Vec<InputRecord>,
    /// Every default used that has to do with bloom and hives.
    pub defaults: Vec<DefaultTaken>,
    /// Where the weather is from.
    pub weather: WeatherRow,
    /// The thresholds in force.
    pub rules: RulesRow,
    /// Map area of what is planted.
    pub planted_plan_ha: PlanHectares,
    /// Weeks in which something flowers and bees fly on some of its days.
    pub flying_weeks: usize,
    /// Weeks in which something flowers.
    pub bloom_weeks: usize,
    /// Lines, in the order of the stock file.
    pub lines: Vec<LineBloomRow>,
    /// One row for each line in each zone.
    pub blocks: Vec<BlockBloomRow>,
    /// One row for each of those and each week in which it flowers.
    pub weeks: Vec<WeekRow>,
    /// One row for each line, band of height and week in which it flowers.
    pub bands: Vec<BandRow>,
    /// The weeks of the year on the planted ground as a whole.
    pub year: Vec<YearWeekRow>,
    /// Stretches without bloom within the season.
    pub gaps: Vec<GapRow>,
    /// Forage around the middle of the planted ground, the smaller disc first.
    pub forage: Vec<ForageRow>,
    /// What came of looking for hive sites.
    pub hive_search: HiveSearchRow,
    /// Hive sites, the best first.
    pub hives: Vec<HiveRow>,
    /// What people must know.
    pub cautions: Vec<BriefCaution>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

impl Season {
    /// Weeks across, lines and bands of height down, flying hours above, as an SVG.
    #[must_use]
    pub fn chart(&self) -> String {
        super::chart::chart(self)
    }
}

/// The thresholds in force.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RulesRow {
    /// Least air temperature at which bees fly, °C.
    pub least_c: f64,
    /// Wind in which they no longer set out, m/s.
    pub most_wind_ms: f64,
    /// Most rain in an hour, mm.
    pub most_rain_mm: f64,
    /// Least sunlight on level ground, W/m².
    pub least_radiation_w_m2: f64,
    /// Temperature from which nectar flows well, °C.
    pub nectar_c: f64,
    /// Flying hours that make a day one with flying weather.
    pub day_hours: f64,
    /// Share of a window without flying weather from which it counts as lost.
    pub lost_share: f64,
    /// Days without bloom that are no gap yet.
    pub gap_days: u16,
    /// Days by which an early or a late year moves bloom.
    pub shift_days: u16,
    /// Radii of the discs of forage, km.
    pub forage_km: [f64; 2],
    /// Standard deviation of temperature from day to day, °C; heard with normals.
    pub day_spread_c: f64,
    /// Rain of a day with rain, mm; heard with normals.
    pub wet_day_mm: f64,
    /// Share of such a day that is lost to it; heard with normals.
    pub wet_day_lost_share: f64,
}

impl RulesRow {
    pub(super) fn of(rules: &SeasonRules) -> Self {
        let (flight, model) = (&rules.flight, &rules.model);
        Self {
            least_c: flight.least_c,
            most_wind_ms: flight.most_wind_ms,
            most_rain_mm: flight.most_rain_mm,
            least_radiation_w_m2: flight.least_radiation_w_m2,
            nectar_c: flight.nectar_c,
            day_hours: flight.day_hours,
            lost_share: flight.lost_share,
            gap_days: rules.gap_days,
            shift_days: rules.shift_days,
            forage_km: rules.forage_km,
            day_spread_c: model.day_spread_c,
            wet_day_mm: model.wet_day_mm,
            wet_day_lost_share: model.wet_day_lost_share,
        }
    }
}

/// A line as a whole. Means are by map area.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LineBloomRow {
    /// The line.
    pub stock_id: String,
    /// Its name.
    pub stock_name: String,
    /// Zones in which it is planted.
    pub zones: usize,
    /// Map area.
    pub plan_area_ha: PlanHectares,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants to order.
    pub order_qty: u64,
    /// What they cost, New Zealand dollars; null where the line has no price.
    pub plants_nzd: Option<f64>,
    /// Figures of its bloom; null where the stock file does not tell when it flowers.
    pub bloom: Option<LineFigures>,
}

/// The bloom of a line over all of its zones.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LineFigures {
    /// First day in flower anywhere, month and day.
    pub begins: String,
    /// Last day in flower anywhere.
    pub ends: String,
    /// Mean days in flower in one place.
    pub days: f64,
    /// Mean days in flower with flying weather.
    pub flying_days: f64,
    /// Mean hours in which bees fly while it flowers.
    pub flying_hours: f64,
    /// Of those, mean hours warm enough for nectar to flow well.
    pub flow_hours: f64,
    /// Most days in flower before the first with flying weather, in any zone.
    pub days_before_flight: u16,
    /// Share of its area planted where its window counts as lost.
    pub lost_share: f64,
    /// That area.
    pub lost_plan_ha: PlanHectares,
    /// Plants in the ground there.
    pub lost_seedlings: u64,
    /// Plants to order for it.
    pub lost_order_qty: u64,
    /// What those cost, New Zealand dollars; null where the line has no price.
    pub lost_nzd: Option<f64>,
    /// The zones.
    pub lost_zones: Vec<String>,
    /// In a year that is early by so many days.
    pub early: ShiftRow,
    /// In a year that is late by so many days.
    pub late: ShiftRow,
}

/// The same window moved.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ShiftRow {
    /// Days with flying weather.
    pub flying_days: f64,
    /// Hours in which bees fly.
    pub flying_hours: f64,
    /// Share of the area where the window counts as lost.
    pub lost_share: f64,
}

/// One line in one zone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BlockBloomRow {
    /// The line.
    pub stock_id: String,
    /// The zone.
    pub zone_id: String,
    /// Mean elevation of the zone, at which all is reckoned.
    pub elevation_mean_m: f64,
    /// Map area planted.
    pub plan_area_ha: PlanHectares,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants to order.
    pub order_qty: u64,
    /// What those cost, New Zealand dollars; null where the line has no price.
    pub plants_nzd: Option<f64>,
    /// First day in flower at the mean elevation.
    pub begins: String,
    /// Last day in flower.
    pub ends: String,
    /// First day in flower at the zone's lowest ground.
    pub begins_lowest: String,
    /// Last day in flower at its highest.
    pub ends_highest: String,
    /// Days in flower.
    pub days: u16,
    /// Of those, days with flying weather.
    pub flying_days: u16,
    /// Days in flower before the first with flying weather.
    pub days_before_flight: u16,
    /// Hours from sunrise to sunset.
    pub daylight_hours: f64,
    /// Hours in which bees fly.
    pub flying_hours: f64,
    /// Of those, hours warm enough for nectar to flow well.
    pub flow_hours: f64,
    /// `yes` where the window counts as lost.
    pub lost: &'static str,
    /// Flying hours in an early year.
    pub early_flying_hours: f64,
    /// Flying hours in a late year.
    pub late_flying_hours: f64,
}

/// One line in one zone in one week.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeekRow {
    /// The line.
    pub stock_id: String,
    /// The zone.
    pub zone_id: String,
    /// Number of the week, from 1, in a year that begins in winter.
    pub week: usize,
    /// Its first day, month and day.
    pub first_day: String,
    /// Its last day.
    pub last_day: String,
    /// Mean elevation of the zone.
    pub elevation_mean_m: f64,
    /// Map area planted.
    pub plan_area_ha: PlanHectares,
    /// Days in flower.
    pub days: u16,
    /// Of those, days with flying weather.
    pub flying_days: u16,
    /// Hours in which bees fly on those days.
    pub flying_hours: f64,
    /// Of those, hours warm enough for nectar to flow well.
    pub flow_hours: f64,
}

/// One line in one band of height in one week; means by map area.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BandRow {
    /// The line.
    pub stock_id: String,
    /// Its name.
    pub stock_name: String,
    /// Lower edge of the band, metres.
    pub from_m: f64,
    /// Upper edge.
    pub to_m: f64,
    /// Map area of the line in the band.
    pub plan_area_ha: PlanHectares,
    /// Number of the week, from 1.
    pub week: usize,
    /// Share of its plants and days in flower in that week, 0 to 1.
    pub bloom_share: f64,
    /// Part of that with flying weather.
    pub flying_share: f64,
}

/// One week on the planted ground as a whole, at its mean elevation.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YearWeekRow {
    /// Number of the week, from 1, in a year that begins in winter.
    pub week: usize,
    /// Its first day, month and day.
    pub first_day: String,
    /// Its last day.
    pub last_day: String,
    /// Hours from sunrise to sunset.
    pub daylight_hours: f64,
    /// Hours in which bees fly.
    pub flying_hours: f64,
    /// Of those, hours warm enough for nectar to flow well.
    pub flow_hours: f64,
    /// Days with flying weather.
    pub flying_days: u16,
    /// Lines in flower on some day of it.
    pub lines: usize,
    /// Mean map area in flower.
    pub bloom_plan_ha: PlanHectares,
    /// Days on which something flowers somewhere and has flying weather there.
    pub bloom_flying_days: u16,
}

impl YearWeekRow {
    /// Whether something flowers and bees fly.
    #[must_use]
    pub fn has_bloom_and_flight(&self) -> bool {
        self.bloom_flying_days > 0
    }
}

/// A stretch without bloom within the season.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct GapRow {
    /// Its first day, month and day.
    pub begins: String,
    /// Its last day.
    pub ends: String,
    /// Its days.
    pub days: u16,
}

/// Forage within a distance of a place. What lies outside the property is not known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ForageRow {
    /// Radius, km.
    pub radius_km: f64,
    /// Map area of the disc.
    pub disc_ha: f64,
    /// Planted ground of the property within it.
    pub planted_ha: f64,
    /// Kept stands of the property within it.
    pub stands_ha: f64,
    /// Both as a share of the disc.
    pub forage_share: f64,
    /// Share of the disc that is not of the property: what grows there is not known.
    pub outside_share: f64,
}

/// What came of looking for hive sites.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct HiveSearchRow {
    /// Places along tracks that were looked at.
    pub places: usize,
    /// Places that have ground for hives beside them.
    pub found: usize,
    /// Cells within reach of a track on the property that were looked at.
    pub cells: usize,
    /// Cells too steep, or of unknown slope.
    pub too_steep: usize,
    /// Cells kept clear, or where people ask first.
    pub kept_clear: usize,
    /// Cells in kept stands or where nothing is planted.
    pub under_cover: usize,
    /// Cells too near a mapped stream.
    pub near_streams: usize,
    /// Cells where frost is severe: `zones.frost_edges`.
    pub in_hollows: usize,
}

/// A place where hives may stand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HiveRow {
    /// `H01`, …, the best first.
    pub site_id: String,
    /// Easting, metres.
    pub easting_m: f64,
    /// Northing, metres.
    pub northing_m: f64,
    /// Longitude on WGS 84, degrees, to 7 decimals.
    pub longitude_deg: f64,
    /// Latitude on WGS 84, degrees, to 7 decimals.
    pub latitude_deg: f64,
    /// Elevation, metres, to a decimetre.
    pub elevation_m: f64,
    /// Slope at the site's working scale, degrees, to a tenth.
    pub slope_deg: f64,
    /// Distance from the middle of the nearest track, metres of map, to a decimetre.
    pub to_track_m: f64,
    /// Sum of the angles up to the horizon in eight directions, degrees, to a tenth: more is sheltered.
    pub shelter_deg: f64,
    /// Direct sun in the scarce months, level open ground = 1; null where it is not known.
    pub sun_ratio: Option<f64>,
    /// Frost index; null where it is not known.
    pub frost_index: Option<f64>,
    /// Forage in the smaller disc.
    pub near: ForageRow,
    /// Forage in the larger.
    pub far: ForageRow,
    /// Mean of shelter, sun and near forage, each from 0 for the worst place found to 1 for the best.
    pub score: f64,
    /// Why it is one, in a sentence.
    pub reason: String,
}
