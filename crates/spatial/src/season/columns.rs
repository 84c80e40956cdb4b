//! The columns of the tables of a season.

use super::rows::{BlockBloomRow, HiveRow, Season, WeekRow};
use crate::write::Kind;
use crate::write::columns::Column;

type BlockColumn = Column<BlockBloomRow, Season>;
type WeekColumn = Column<WeekRow, Season>;
type HiveColumn = Column<HiveRow, Season>;

const WORDS: (Kind, &str, &str) = (Kind::Text, "", "");
const DAY: (Kind, &str, &str) = (Kind::Text, "month-day", "");
const METRES: (Kind, &str, &str) = (Kind::Real, "m", "map");
const HEIGHT: (Kind, &str, &str) = (Kind::Real, "m", "map area");
const MAP_HA: (Kind, &str, &str) = (Kind::Real, "ha", "map");
const HOURS: (Kind, &str, &str) = (Kind::Real, "h", "usual year");
const DAYS: (Kind, &str, &str) = (Kind::Integer, "days", "usual year");
const PLANTS: (Kind, &str, &str) = (Kind::Integer, "plants", "");
const DEGREES: (Kind, &str, &str) = (Kind::Real, "degrees", "");
const SHARE: (Kind, &str, &str) = (Kind::Real, "0 to 1", "map area");

/// One row for each line in each zone.
#[rustfmt::skip] // a table
pub(crate) static BLOOM_BLOCKS: [BlockColumn; 19] = [
    BlockColumn::new("stock_id", WORDS, "The line.", |b, _| (&b.stock_id).into()),
    BlockColumn::new("zone_id", WORDS, "The planting zone.", |b, _| (&b.zone_id).into()),
    BlockColumn::new("elevation_mean_m", HEIGHT, "Mean elevation of the zone, at which all is reckoned.", |b, _| b.elevation_mean_m.into()),
    BlockColumn::new("plan_area_ha", MAP_HA, "Area planted with the line, winters together.", |b, _| b.plan_area_ha.0.into()),
    BlockColumn::new("seedlings", PLANTS, "Plants in the ground.", |b, _| b.seedlings.into()),
    BlockColumn::new("order_qty", PLANTS, "Plants to order, losses included.", |b, _| b.order_qty.into()),
    BlockColumn::new("plants_nzd", (Kind::Real, "NZ$", ""), "What the plants to order cost, without planting; null where the line has no price.", |b, _| b.plants_nzd.into()),
    BlockColumn::new("begins", DAY, "First day in flower at the mean elevation.", |b, _| (&b.begins).into()),
    BlockColumn::new("ends", DAY, "Last day in flower there.", |b, _| (&b.ends).into()),
    BlockColumn::new("begins_lowest", DAY, "First day in flower anywhere in the zone, from its lowest to its highest ground.", |b, _| (&b.begins_lowest).into()),
    BlockColumn::new("ends_highest", DAY, "Last day in flower anywhere in the zone.", |b, _| (&b.ends_highest).into()),
    BlockColumn::new("days", (Kind::Integer, "days", ""), "Days in flower at the mean elevation, as all that follows.", |b, _| usize::from(b.days).into()),
    BlockColumn::new("flying_days", DAYS, "Of those, days with flying weather: `season.day_hours` or more.", |b, _| usize::from(b.flying_days).into()),
    BlockColumn::new("days_before_flight", DAYS, "Days in flower before the first with flying weather.", |b, _| usize::from(b.days_before_flight).into()),
    BlockColumn::new("flying_hours", HOURS, "Hours in which bees fly while the line flowers.", |b, _| b.flying_hours.into()),
    BlockColumn::new("flow_hours", HOURS, "Of those, hours warm enough for nectar to flow well: `season.nectar_c`.", |b, _| b.flow_hours.into()),
    BlockColumn::new("lost", WORDS, "yes where `season.lost_share` of the days in flower or more lack flying weather; else no.", |b, _| b.lost.into()),
    BlockColumn::new("early_flying_hours", HOURS, "Flying hours if bloom is `season.shift_days` early.", |b, _| b.early_flying_hours.into()),
    BlockColumn::new("late_flying_hours", HOURS, "Flying hours if bloom is as many days late.", |b, _| b.late_flying_hours.into()),
];

/// One row for each line in each zone and each week in which it flowers.
#[rustfmt::skip] // a table
pub(crate) static BLOOM_WEEKS: [WeekColumn; 11] = [
    WeekColumn::new("stock_id", WORDS, "The line.", |w, _| (&w.stock_id).into()),
    WeekColumn::new("zone_id", WORDS, "The planting zone.", |w, _| (&w.zone_id).into()),
    WeekColumn::new("week", (Kind::Integer, "", ""), "Number of the week, 1 to 52, from 1 July in the south and 1 January in the north; the last has 8 days.", |w, _| w.week.into()),
    WeekColumn::new("first_day", DAY, "Its first day.", |w, _| (&w.first_day).into()),
    WeekColumn::new("last_day", DAY, "Its last day.", |w, _| (&w.last_day).into()),
    WeekColumn::new("elevation_mean_m", HEIGHT, "Mean elevation of the zone, at which all is reckoned.", |w, _| w.elevation_mean_m.into()),
    WeekColumn::new("plan_area_ha", MAP_HA, "Area planted with the line.", |w, _| w.plan_area_ha.0.into()),
    WeekColumn::new("days", (Kind::Integer, "days", ""), "Days of the week in flower.", |w, _| usize::from(w.days).into()),
    WeekColumn::new("flying_days", DAYS, "Of those, days with flying weather.", |w, _| usize::from(w.flying_days).into()),
    WeekColumn::new("flying_hours", HOURS, "Hours in which bees fly on those days.", |w, _| w.flying_hours.into()),
    WeekColumn::new("flow_hours", HOURS, "Of those, hours warm enough for nectar to flow well.", |w, _| w.flow_hours.into()),
];

/// Places where hives may stand, the best first.
#[rustfmt::skip] // a table
pub(crate) static HIVE_SITES: [HiveColumn; 21] = [
    HiveColumn::new("site_id", WORDS, "Name of the place, the best first.", |h, _| (&h.site_id).into()),
    HiveColumn::new("easting_m", METRES, "Easting in the plan's coordinate system: the middle of a cell.", |h, _| h.easting_m.into()),
    HiveColumn::new("northing_m", METRES, "Northing in the plan's coordinate system.", |h, _| h.northing_m.into()),
    HiveColumn::new("longitude_deg", (Kind::Real, "degrees", "WGS 84"), "Longitude, to 7 decimals.", |h, _| h.longitude_deg.into()),
    HiveColumn::new("latitude_deg", (Kind::Real, "degrees", "WGS 84"), "Latitude, to 7 decimals.", |h, _| h.latitude_deg.into()),
    HiveColumn::new("elevation_m", (Kind::Real, "m", ""), "Elevation.", |h, _| h.elevation_m.into()),
    HiveColumn::new("slope_deg", DEGREES, "Slope at the site's working scale; pads may need more.", |h, _| h.slope_deg.into()),
    HiveColumn::new("to_track_m", METRES, "Distance from the middle of the nearest track in a straight line.", |h, _| h.to_track_m.into()),
    HiveColumn::new("shelter_deg", DEGREES, "Sum of the angles up to the horizon in eight directions: the larger, the more sheltered by land.", |h, _| h.shelter_deg.into()),
    HiveColumn::new("sun_ratio", (Kind::Real, "1", ""), "Direct sun over `zones.sun_months`, level open ground = 1; null where it is not known.", |h, _| h.sun_ratio.into()),
    HiveColumn::new("frost_index", (Kind::Real, "0 to 1", ""), "How readily cold air pools; null where it is not known.", |h, _| h.frost_index.into()),
    HiveColumn::new("planted_near_ha", MAP_HA, "Planted ground of the property within the smaller radius of `season.forage_km`.", |h, _| h.near.planted_ha.into()),
    HiveColumn::new("stands_near_ha", MAP_HA, "Kept stands of the property within it.", |h, _| h.near.stands_ha.into()),
    HiveColumn::new("forage_near_share", SHARE, "Both as a share of the disc.", |h, _| h.near.forage_share.into()),
    HiveColumn::new("outside_near_share", SHARE, "Share of the disc that lies outside the property: what grows there is not known.", |h, _| h.near.outside_share.into()),
    HiveColumn::new("planted_far_ha", MAP_HA, "Planted ground of the property within the larger radius.", |h, _| h.far.planted_ha.into()),
    HiveColumn::new("stands_far_ha", MAP_HA, "Kept stands of the property within it.", |h, _| h.far.stands_ha.into()),
    HiveColumn::new("forage_far_share", SHARE, "Both as a share of the disc.", |h, _| h.far.forage_share.into()),
    HiveColumn::new("outside_far_share", SHARE, "Share of the disc that lies outside the property.", |h, _| h.far.outside_share.into()),
    HiveColumn::new("score", (Kind::Real, "0 to 1", ""), "Mean of shelter, sun and near forage, each from 0 for the worst place found to 1 for the best: it ranks places of one property only.", |h, _| h.score.into()),
    HiveColumn::new("reason", WORDS, "Why it is one.", |h, _| (&h.reason).into()),
];
