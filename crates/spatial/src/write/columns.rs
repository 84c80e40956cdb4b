//! The one table of every column of every layer.
//!
//! The fields of the GeoPackage, the properties of the GeoJSON, the headers of the schedule and the
//! data dictionary in the documentation are all made from it, so they cannot disagree.
//!
//! A value that is not known is [`Value::Null`]; zero means none; an empty text means "nothing to say".

use super::plots::plot_id;
use super::value::{Kind, Value};
use crate::layout::{Plant, Plot};
use crate::plan::{
    BlockRow, CardRow, DeliveryRow, KeepClearRow, LineOrderRow, Plan, StandRow, ZoneRow,
};
use crate::problem::Problem;
use crate::site::Pattern;
use crate::units::AreaBasis;

/// One column of a layer whose rows are `Row`, of a whole that is a plan unless it is named.
#[derive(Debug)]
pub struct Column<Row, Whole = Plan> {
    /// Name in every file: `[a-z][a-z0-9_]*`, at most 30 letters.
    pub name: &'static str,
    /// What its values are.
    pub kind: Kind,
    /// Unit, empty for names and classes.
    pub unit: &'static str,
    /// What it is counted on (map, ground, …), empty when that does not arise.
    pub basis: &'static str,
    /// What it says, in one sentence.
    pub meaning: &'static str,
    value: fn(&Row, &Whole) -> Value,
}

impl<Row, Whole> Clone for Column<Row, Whole> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<Row, Whole> Copy for Column<Row, Whole> {}

impl<Row, Whole> Column<Row, Whole> {
    pub(crate) const fn new(
        name: &'static str,
        (kind, unit, basis): (Kind, &'static str, &'static str),
        meaning: &'static str,
        value: fn(&Row, &Whole) -> Value,
    ) -> Self {
        Self { name, kind, unit, basis, meaning, value }
    }

    /// Its name to read: spaces and a capital, without the unit at its end.
    #[must_use]
    pub fn title(&self) -> String {
        const UNITS: [&str; 8] = ["_ha", "_m", "_m2", "_deg", "_sph", "_c", "_mm", "_nzd"];
        let bare = UNITS.into_iter().find_map(|unit| self.name.strip_suffix(unit));
        let words = bare.unwrap_or(self.name).replace('_', " ");
        let mut letters = words.chars();
        let first = letters.next().map(|first| first.to_ascii_uppercase());
        first.into_iter().chain(letters).collect()
    }

    /// Its unit and what that is counted on, such as `ha, map`; empty for names and classes.
    #[must_use]
    pub fn measure(&self) -> String {
        let parts = [self.unit, self.basis].into_iter().filter(|part| !part.is_empty());
        parts.collect::<Vec<_>>().join(", ")
    }

    /// The value of a row.
    ///
    /// # Errors
    /// When it is a number that no file can hold: infinite, or not a number.
    pub fn value(&self, row: &Row, whole: &Whole) -> Result<Value, Problem> {
        match (self.value)(row, whole) {
            Value::Real(number) if !number.is_finite() => Err(Problem::error(self.name)
                .found(number.to_string())
                .expected("a finite number")
                .remedy("this is a fault of the program: please report it with the site folder")),
            value => Ok(value),
        }
    }
}

const NAME: (Kind, &str, &str) = (Kind::Text, "", "");
const MAP_HA: (Kind, &str, &str) = (Kind::Real, "ha", "map");
const GROUND_HA: (Kind, &str, &str) = (Kind::Real, "ha", "ground");
const SHARE: (Kind, &str, &str) = (Kind::Real, "0 to 1", "map area");
const COUNT: (Kind, &str, &str) = (Kind::Integer, "plants", "");
const DEGREES: (Kind, &str, &str) = (Kind::Real, "degrees", "map area");

/// The column that names a zone, which is also the `id` of its GeoJSON feature.
pub const ZONE_ID: &str = "zone_id";
/// The column that names a block, which is also the `id` of its GeoJSON feature.
pub const BLOCK_ID: &str = "block_id";

/// Columns of `zones`.
#[rustfmt::skip]
pub static ZONES: [Column<ZoneRow>; 33] = [
    Column::new(ZONE_ID, NAME, "Name of the planting zone, unique in the plan.", |z, _| (&z.zone_id).into()),
    Column::new("slope_group", NAME, "Slope group that holds most of the zone: A (flat) to G (very steep).", |z, _| (&z.slope_group).into()),
    Column::new("wetness_class", NAME, "How wet the ground lies: dry, moist or wet; NULL when wetness was not asked for.", |z, _| z.wetness_class.as_ref().into()),
    Column::new("sun_class", NAME, "How much direct sun the slope gets: shady, even or sunny; NULL when sun was not asked for.", |z, _| z.sun_class.as_ref().into()),
    Column::new("cover_treatment", NAME, "What is done with the cover that is there: plant, or infill its gaps.", |z, _| (&z.cover_treatment).into()),
    Column::new("plan_area_ha", MAP_HA, "Area of the polygon on the flat map.", |z, _| z.plan_area_ha.0.into()),
    Column::new("ground_area_ha", GROUND_HA, "Area along the slope, as a crew walks it.", |z, _| z.ground_area_ha.0.into()),
    Column::new("slope_mean_deg", DEGREES, "Mean slope of the zone.", |z, _| z.slope_mean_deg.into()),
    Column::new("slope_p90_deg", DEGREES, "Slope that 90 % of the zone does not exceed.", |z, _| z.slope_p90_deg.into()),
    Column::new("elevation_mean_m", (Kind::Real, "m", "map area"), "Mean elevation of the zone.", |z, _| z.elevation_mean_m.into()),
    Column::new("best_fit", NAME, "Stock that fits the zone best; NULL when none reaches the floor.", |z, _| z.best_fit.as_ref().into()),
    Column::new("runner_up", NAME, "Stock that would take the zone if the chosen one were not there; null where no other is allowed.", |z, _| z.runner_up.as_ref().into()),
    Column::new("runner_up_less", (Kind::Real, "well-fitted ha/ha", "map area"), "How much less a hectare would count for under the runner-up, scarce plants priced in; null where there is none.", |z, _| z.runner_up_less.into()),
    Column::new("gap_share", SHARE, "Part of the zone that is open to planting.", |z, _| z.gap_share.into()),
    Column::new("left_share", SHARE, "Part of the zone that no stock takes; what of it is open to planting is left to regenerate.", |z, _| z.left_share.into()),
    Column::new("left_reason", NAME, "Why ground is left; empty when none is.", |z, _| (&z.left_reason).into()),
    Column::new("exposure_class", NAME, "How open the zone lies to wind: exposed, moderate or sheltered; NULL when exposure was not asked for.", |z, _| z.exposure_class.as_ref().into()),
    Column::new("frost_class", NAME, "Whether cold air pools: frost unlikely, likely or severe, or unknown where water meets no drainage line on the ground that was read; NULL when frost was not asked for.", |z, _| z.frost_class.as_ref().into()),
    Column::new("merged_regions", (Kind::Integer, "regions", ""), "Patches of one class each that were merged into the zone.", |z, _| z.merged_regions.into()),
    Column::new("reason", NAME, "Why this is a zone: the class that holds most of it, and what was merged.", |z, _| (&z.reason).into()),
    Column::new("class_share", SHARE, "Part of the zone's ground that is of the one class that holds most of it.", |z, _| z.class_share.into()),
    Column::new("short_reason", NAME, "Why the zone is smaller or narrower than asked for; empty when it is not.", |z, _| (&z.short_reason).into()),
    Column::new("mean_width_m", (Kind::Real, "m", "map"), "Width of the rectangle with the zone's area and length of border: of a strip its width.", |z, _| z.mean_width_m.into()),
    Column::new("widest_m", (Kind::Real, "m", "map"), "Diameter of the largest circle that fits into the zone.", |z, _| z.widest_m.into()),
    Column::new("border_drift_m2", (Kind::Real, "m²", "map"), "Area of the polygon less that of the zone's cells: what exact borders and straightening gave or took.", |z, _| z.border_drift_m2.into()),
    Column::new("slope_p10_deg", DEGREES, "Slope that 10 % of the zone does not exceed.", |z, _| z.slope_p10_deg.into()),
    Column::new("slope_p50_deg", DEGREES, "Slope that half of the zone does not exceed.", |z, _| z.slope_p50_deg.into()),
    Column::new("elevation_min_m", (Kind::Real, "m", ""), "Lowest elevation of the zone.", |z, _| z.elevation_min_m.into()),
    Column::new("elevation_max_m", (Kind::Real, "m", ""), "Highest elevation of the zone.", |z, _| z.elevation_max_m.into()),
    Column::new("wetness_mean", (Kind::Real, "ln(m)", "map area"), "Mean wetness index, ln(a / tan slope); NULL when wetness was not asked for.", |z, _| z.wetness_mean.into()),
    Column::new("sun_ratio_mean", (Kind::Real, "1", "map area"), "Mean direct sun, level open ground = 1; NULL when sun was not asked for.", |z, _| z.sun_ratio_mean.into()),
    Column::new("exposure_mean_deg", DEGREES, "Mean sum of horizon angles: low is exposed; NULL when exposure was not asked for.", |z, _| z.exposure_mean_deg.into()),
    Column::new("frost_index_mean", (Kind::Real, "0 to 1", "map area"), "Mean frost index; NULL when frost was not asked for.", |z, _| z.frost_index_mean.into()),
];

/// Columns of `blocks`.
#[rustfmt::skip]
pub static BLOCKS: [Column<BlockRow>; 19] = [
    Column::new(BLOCK_ID, NAME, "Name of the block, unique in the plan: one zone and one stock, and one winter where years are known.", |b, _| (&b.block_id).into()),
    Column::new(ZONE_ID, NAME, "Zone it lies in; blocks of one zone share its polygon as an intimate mixture.", |b, _| (&b.zone_id).into()),
    Column::new("stock_id", NAME, "Stock planted there, as named in the stock file.", |b, _| (&b.stock_id).into()),
    Column::new("stock_kind", NAME, "What the stock is: cultivar or seed_line.", |b, _| (&b.stock_kind).into()),
    Column::new("share", SHARE, "Part of the zone that the stock takes.", |b, _| b.share.into()),
    Column::new("plan_area_ha", MAP_HA, "The zone's area on the flat map times the share.", |b, _| b.plan_area_ha.0.into()),
    Column::new("ground_area_ha", GROUND_HA, "The zone's area along the slope times the share.", |b, _| b.ground_area_ha.0.into()),
    Column::new("density_sph", (Kind::Real, "stems/ha", "see density_basis"), "Plants per hectare.", |b, _| b.density_sph.into()),
    Column::new("spacing_m", (Kind::Real, "m", "see density_basis"), "Distance between plants.", |b, _| b.spacing_m.into()),
    Column::new("seedlings", COUNT, "Plants that go into the ground.", |b, _| b.seedlings.into()),
    Column::new("order_qty", COUNT, "Plants to order, with losses allowed for: its part of the order of the line.", |b, _| b.order_qty.into()),
    Column::new("fit", (Kind::Real, "0 to 1", "map area"), "How well the stock fits the zone; 1 is best.", |b, _| b.fit.into()),
    Column::new("fit_class", NAME, "Suitability order of the fit: S1 high, S2 moderate, S3 marginal, N not suitable (FAO 1976, which sets no edges); they begin at `mosaic.fit_orders`, by default 0.8, 0.4 and 0.2 (FAO 1983, from memory).", |b, _| (&b.fit_class).into()),
    Column::new("limiting_factor", NAME, "Factor that costs most fit; empty when nothing limits.", |b, _| (&b.limiting_factor).into()),
    Column::new("reason", NAME, "Why this stock stands here, in a sentence.", |b, _| (&b.reason).into()),
    Column::new("season", (Kind::Integer, "year", ""), "Winter in which it is planted; null where the site and the stock file name no year.", |b, _| season(b.season)),
    Column::new("density_basis", NAME, "Which hectare density and spacing are measured on: ground or plan (map).", |b, _| density_basis(b.density_basis).into()),
    Column::new("purpose", NAME, "What most of its plants are for, as the density rules of the site say: honey, erosion or carbon.", |b, _| b.purpose.key().into()),
    Column::new("person_days", (Kind::Real, "days", "one person"), "Days that one person plants it, by `[labour]`; weather, carrying and waiting come on top, and steep ground is planted as slowly as it is safe to.", |b, _| b.person_days.into()),
];

/// Columns of `orders.csv`: one row a delivery.
#[rustfmt::skip]
pub static ORDERS: [Column<DeliveryRow>; 12] = [
    Column::new("order_id", NAME, "Name of the order, unique in the plan: one stock, and one winter where years are known.", |d, plan| order(d, plan).map(|o| &o.order_id).into()),
    Column::new("stock_id", NAME, "Stock, as named in the stock file.", |d, plan| order(d, plan).map(|o| &o.stock_id).into()),
    Column::new("stock_name", NAME, "Name of the stock, as the nursery knows it.", |d, plan| order(d, plan).map(|o| &o.stock_name).into()),
    Column::new("stock_kind", NAME, "What the stock is: cultivar or seed_line.", |d, plan| order(d, plan).map(|o| &o.stock_kind).into()),
    Column::new("season", (Kind::Integer, "year", ""), "Winter in which it is planted; null where the site and the stock file name no year.", |d, plan| season(order(d, plan).and_then(|o| o.season))),
    Column::new("delivery_no", (Kind::Integer, "", ""), "Delivery, counted from 1 in its order.", |d, _| d.delivery_no.into()),
    Column::new("plants", COUNT, "Plants of the delivery; deliveries add up to the order.", |d, _| d.plants.into()),
    Column::new("trays", (Kind::Integer, "trays", ""), "Trays that they come in, the last perhaps not full.", |d, _| d.trays.into()),
    Column::new("seedlings", COUNT, "Plants that the whole order puts into the ground: told in each row, not to be added up.", |d, plan| order(d, plan).map_or(Value::Null, |o| o.seedlings.into())),
    Column::new("order_qty", COUNT, "Plants of the whole order: told in each row, not to be added up.", |d, plan| order(d, plan).map_or(Value::Null, |o| o.order_qty.into())),
    Column::new("survival", (Kind::Real, "0 to 1", "plants"), "Share of them expected to live, over all their ground.", |d, plan| order(d, plan).map_or(Value::Null, |o| o.survival.into())),
    Column::new("chance", (Kind::Real, "0 to 1", ""), "Chance that as many live as are planted, if each lives or dies by itself.", |d, plan| order(d, plan).map_or(Value::Null, |o| o.chance.into())),
];

fn order<'p>(delivery: &DeliveryRow, plan: &'p Plan) -> Option<&'p LineOrderRow> {
    plan.line_orders.get(delivery.of)
}

/// Columns of `plants`.
#[rustfmt::skip]
pub static PLANTS: [Column<Plant>; 8] = [
    Column::new(BLOCK_ID, NAME, "Block that the plant is of.", |p, plan| block(p, plan).map_or(Value::Null, |b| (&b.block_id).into())),
    Column::new(ZONE_ID, NAME, "Zone that it stands in.", |p, plan| block(p, plan).map_or(Value::Null, |b| (&b.zone_id).into())),
    Column::new("stock_id", NAME, "Stock, as named in the stock file.", |p, plan| block(p, plan).map_or(Value::Null, |b| (&b.stock_id).into())),
    Column::new("season", (Kind::Integer, "year", ""), "Winter in which it is planted; null where the site and the stock file name no year.", |p, plan| block(p, plan).map_or(Value::Null, |b| season(b.season))),
    Column::new("row_no", (Kind::Integer, "", ""), "Row in its zone, counted from 1 at the top; 0 where plants stand in none.", |p, _| u64::from(p.row).into()),
    Column::new("east_m", (Kind::Real, "m", "map"), "Easting in the plan's coordinate system.", |p, _| p.at[0].into()),
    Column::new("north_m", (Kind::Real, "m", "map"), "Northing in the plan's coordinate system.", |p, _| p.at[1].into()),
    Column::new("height_m", (Kind::Real, "m", ""), "Height of the ground.", |p, _| f64::from(p.height_m).into()),
];

/// Columns of `plots`.
#[rustfmt::skip]
pub static PLOTS: [Column<Plot>; 7] = [
    Column::new("plot_id", NAME, "Name of the plot, unique in the plan.", |p, plan| Value::Text(plot_id(p, plan))),
    Column::new(ZONE_ID, NAME, "Zone that it lies in.", |p, plan| plan.zones.get(p.zone).map_or(Value::Null, |z| (&z.zone_id).into())),
    Column::new("radius_m", (Kind::Real, "m", "ground"), "Radius of the circle, laid out along the slope.", |p, _| p.radius_m.into()),
    Column::new("slope_deg", (Kind::Real, "degrees", ""), "Slope in its middle.", |p, _| p.slope_deg.into()),
    Column::new("plants", (Kind::Real, "plants", ""), "Plants that it holds if the zone is planted evenly.", |p, _| p.plants.into()),
    Column::new("east_m", (Kind::Real, "m", "map"), "Easting of its middle in the plan's coordinate system.", |p, _| p.at[0].into()),
    Column::new("north_m", (Kind::Real, "m", "map"), "Northing of its middle.", |p, _| p.at[1].into()),
];

fn block<'p>(plant: &Plant, plan: &'p Plan) -> Option<&'p BlockRow> {
    plan.blocks.get(plant.block as usize)
}

/// Columns of `keep_clear`.
#[rustfmt::skip]
pub static KEEP_CLEAR: [Column<KeepClearRow>; 6] = [
    Column::new("keep_clear_id", NAME, "Name of the piece, unique in the plan.", |k, _| (&k.keep_clear_id).into()),
    Column::new("rules", NAME, "Rules that meet here, or the cover that is never planted.", |k, _| (&k.rules).into()),
    Column::new("reason", NAME, "Why it is kept clear.", |k, _| (&k.reason).into()),
    Column::new("authority", NAME, "Who says so.", |k, _| (&k.authority).into()),
    Column::new("date", NAME, "Date of the rule, as written in the site file.", |k, _| (&k.date).into()),
    Column::new("plan_area_ha", MAP_HA, "Area of the polygon on the flat map.", |k, _| k.plan_area_ha.0.into()),
];

/// Columns of `stands`.
#[rustfmt::skip]
pub static STANDS: [Column<StandRow>; 5] = [
    Column::new("stand_id", NAME, "Name of the stand, unique in the plan.", |s, _| (&s.stand_id).into()),
    Column::new("cover", NAME, "What grows there, as named in the site file.", |s, _| (&s.cover).into()),
    Column::new("plan_area_ha", MAP_HA, "Area of the polygon on the flat map.", |s, _| s.plan_area_ha.0.into()),
    Column::new("ground_area_ha", GROUND_HA, "Area along the slope.", |s, _| s.ground_area_ha.0.into()),
    Column::new("elevation_mean_m", (Kind::Real, "m", "map area"), "Mean elevation of the stand.", |s, _| s.elevation_mean_m.into()),
];

/// Columns of `cards`.
#[rustfmt::skip]
pub static CARDS: [Column<CardRow>; 22] = [
    Column::new("card_no", (Kind::Integer, "", ""), "Number of the card, counted from 1: by zone, then by line in the order of the stock file, then by winter.", |c, _| c.card_no.into()),
    Column::new(ZONE_ID, NAME, "Zone to plant.", |c, _| (&c.zone_id).into()),
    Column::new(BLOCK_ID, NAME, "Block to plant: one card each.", |c, _| (&c.block_id).into()),
    Column::new("letter", NAME, "Letter of the line: A for the first of the stock file, AA after Z.", |c, _| (&c.letter).into()),
    Column::new("colour", NAME, "Colour of the line by name; eight for the lines that are planted, then they come again and the letter tells lines apart.", |c, _| c.colour.into()),
    Column::new("colour_hex", NAME, "The same colour as red, green and blue: #RRGGBB.", |c, _| (&c.colour_hex).into()),
    Column::new("stock_id", NAME, "Line, as named in the stock file.", |c, _| (&c.stock_id).into()),
    Column::new("stock_name", NAME, "Name of the line.", |c, _| (&c.stock_name).into()),
    Column::new("season", (Kind::Integer, "year", ""), "Winter in which it is planted; null where the site and the stock file name no year.", |c, _| season(c.season)),
    Column::new("seedlings", COUNT, "Plants that go into the ground.", |c, _| c.seedlings.into()),
    Column::new("order_qty", COUNT, "Plants that are brought: those ordered, with losses allowed for.", |c, _| c.order_qty.into()),
    Column::new("boxes", (Kind::Integer, "boxes", ""), "Boxes that they come in, the last perhaps not full; null where it is not known how many plants one holds.", |c, _| c.boxes.map_or(Value::Null, Value::Integer)),
    Column::new("spacing_m", (Kind::Real, "m", "see density_basis"), "Distance between plants to a centimetre.", |c, _| c.spacing_m.into()),
    Column::new("pattern", NAME, "How they are set out: square or triangular.", |c, _| pattern(c.pattern).into()),
    Column::new("density_basis", NAME, "What spacing is measured on: ground (along the slope) or plan (map).", |c, _| density_basis(c.density_basis).into()),
    Column::new("drop_east_m", (Kind::Real, "m", "map"), "Easting of the drop point in the plan's coordinate system; null where no track is known within 10 km.", |c, _| c.drop_east_m.into()),
    Column::new("drop_north_m", (Kind::Real, "m", "map"), "Northing of the drop point.", |c, _| c.drop_north_m.into()),
    Column::new("to_track_m", (Kind::Real, "m", "map"), "Distance between the zone and the nearest track; 0 where they meet.", |c, _| c.to_track_m.into()),
    Column::new("crew_days", (Kind::Real, "days", "the crew"), "Days of the crew that it takes; weather, carrying and waiting come on top; null where `labour.people` is not known.", |c, _| c.crew_days.into()),
    Column::new("crew_days_by_the_end", (Kind::Real, "days", "the crew"), "The same of all cards of its winter up to this one.", |c, _| c.crew_days_by_the_end.into()),
    Column::new("begins_on_crew_day", (Kind::Integer, "", ""), "Day of the winter's planting on which it begins, counted from 1.", |c, _| c.begins_on_crew_day.map_or(Value::Null, Value::Integer)),
    Column::new("hazards", NAME, "What the zone's cautions are about and on how much of it, then what the drop point lies in; empty where none is known of, which does not say that it is safe.", |c, _| (&c.hazards).into()),
];

fn pattern(pattern: Pattern) -> &'static str {
    match pattern {
        Pattern::Square => "square",
        Pattern::Triangular => "triangular",
    }
}

/// The one column that the schedule has and the blocks have not.
#[rustfmt::skip]
static STOCK_NAME: Column<BlockRow> =
    Column::new("stock_name", NAME, "Name of the stock, as the nursery knows it.", |b, plan| stock_name(b, plan).into());

/// Columns of `schedule.csv`, in order: those of a block that a nursery and a crew work from.
const SCHEDULE: [&str; 15] = [
    BLOCK_ID,
    ZONE_ID,
    "stock_id",
    "stock_name",
    "stock_kind",
    "plan_area_ha",
    "ground_area_ha",
    "density_sph",
    "density_basis",
    "spacing_m",
    "seedlings",
    "order_qty",
    "season",
    "purpose",
    "person_days",
];

/// Columns of the schedule: one row a block.
#[must_use]
pub fn schedule() -> Vec<Column<BlockRow>> {
    let named =
        |name: &&str| BLOCKS.iter().chain([&STOCK_NAME]).find(|column| column.name == *name);
    SCHEDULE.iter().filter_map(named).copied().collect()
}

fn density_basis(basis: AreaBasis) -> &'static str {
    match basis {
        AreaBasis::Ground => "ground",
        AreaBasis::Plan => "plan",
    }
}

fn stock_name<'a>(block: &BlockRow, plan: &'a Plan) -> Option<&'a String> {
    plan.orders.iter().find(|order| order.stock_id == block.stock_id).map(|order| &order.name)
}

/// The year of a winter; null where none is known.
fn season(year: Option<i32>) -> Value {
    year.and_then(|year| u64::try_from(year).ok()).map_or(Value::Null, Value::Integer)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names<Row>(columns: &[Column<Row>]) -> Vec<&'static str> {
        columns.iter().map(|column| column.name).collect()
    }

    #[test]
    fn zones_have_the_promised_columns_first() {
        assert_eq!(
            names(&ZONES)[..11],
            [
                "zone_id",
                "slope_group",
                "wetness_class",
                "sun_class",
                "cover_treatment",
                "plan_area_ha",
                "ground_area_ha",
                "slope_mean_deg",
                "slope_p90_deg",
                "elevation_mean_m",
                "best_fit"
            ]
        );
    }

    #[test]
    fn blocks_have_the_promised_columns_first() {
        assert_eq!(
            names(&BLOCKS)[..15],
            [
                "block_id",
                "zone_id",
                "stock_id",
                "stock_kind",
                "share",
                "plan_area_ha",
                "ground_area_ha",
                "density_sph",
                "spacing_m",
                "seedlings",
                "order_qty",
                "fit",
                "fit_class",
                "limiting_factor",
                "reason"
            ]
        );
    }

    #[test]
    fn the_schedule_finds_each_of_its_columns() {
        assert_eq!(names(&schedule()), SCHEDULE);
    }

    /// Names that strict readers take. Source: OGC GeoPackage discussion on lower-case names; the
    /// list of words to avoid is common practice, no source.
    #[test]
    fn names_are_plain_and_unique() {
        let all = [
            names(&ZONES),
            names(&BLOCKS),
            names(&KEEP_CLEAR),
            names(&STANDS),
            names(&PLANTS),
            names(&PLOTS),
            names(&ORDERS),
            names(&CARDS),
        ];
        for layer in all {
            for name in &layer {
                assert!(name.len() <= 30 && name.starts_with(|c: char| c.is_ascii_lowercase()));
                assert!(
                    name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
                );
                assert!(!["fid", "geom", "select", "count", "order", "group"].contains(name));
            }
            let mut unique = layer.clone();
            unique.sort_unstable();
            unique.dedup();
            assert_eq!(unique.len(), layer.len());
        }
    }

    #[test]
    fn each_kind_is_the_kind_of_its_values() {
        fn check<Row>(columns: &[Column<Row>], rows: &[Row], plan: &Plan) {
            for row in rows {
                for column in columns {
                    let value = column.value(row, plan).unwrap();
                    assert!(value.kind().is_none_or(|kind| kind == column.kind), "{}", column.name);
                }
            }
        }
        let plan = crate::write::fixture::plan();
        check(&ZONES, &plan.zones, &plan);
        check(&BLOCKS, &plan.blocks, &plan);
        check(&KEEP_CLEAR, &plan.keep_clear, &plan);
        check(&STANDS, &plan.stands, &plan);
        check(&schedule(), &plan.blocks, &plan);
    }

    #[test]
    fn a_number_that_is_none_is_refused_by_name() {
        let mut plan = crate::write::fixture::plan();
        plan.zones[0].slope_mean_deg = f64::NAN;
        let refused = ZONES[7].value(&plan.zones[0], &plan).unwrap_err();
        assert_eq!((refused.item.as_str(), refused.found.as_str()), ("slope_mean_deg", "NaN"));
    }
}
