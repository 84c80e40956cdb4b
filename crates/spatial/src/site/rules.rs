//! The rules of zones, survival and mosaic.

use std::num::NonZeroU64;
use std::path::Path;

use super::fault::Fault;
use super::report::Report;
use super::section::Section;
use super::{
    Aim, Band, EcoSourcing, GroundRules, Hollows, LabourRules, LayoutRules, MOST_BANDS,
    MosaicRules, OrderingRules, PlantManner, PlotRules, SlopeEdges, SurvivalRules, WetnessEdges,
    ZoneFactor, ZoneRules,
};
use crate::ground::GroundLayer;
use crate::units::{M2_PER_HA, Metres, PlanHectares};
use terrain::{Kernel, Routing, SlopeMethod};

/// Reads `[ground]`.
pub(super) fn ground(root: &Section<'_>) -> GroundRules {
    let section = root.child("ground");
    let number = |name: &str| section.number(name).unwrap_or_default();
    let says = |name: &str, word: &str| section.text(name).as_deref() == Some(word);
    GroundRules {
        slope_formula: if says("slope_formula", "zevenbergen_thorne") {
            SlopeMethod::ZevenbergenThorne
        } else {
            SlopeMethod::Horn
        },
        smoothing: if says("smoothing", "mean") { Kernel::Mean } else { Kernel::Gaussian },
        hollows: if says("hollows", "breach") {
            Hollows::Breach {
                longest: Metres(number("breach_longest_m")),
                deepest: Metres(number("breach_deepest_m")),
            }
        } else {
            Hollows::Fill
        },
        flow: match section.text("flow").as_deref() {
            Some("steepest") => Routing::SteepestDescent,
            Some("d_infinity") => Routing::DInfinity,
            _ => Routing::MULTIPLE_FLOW,
        },
        gentlest_slope_deg: number("gentlest_slope_deg"),
        stream_from_m2: number("stream_from_ha") * M2_PER_HA,
        horizon: Metres(number("horizon_m")),
        exposure: Metres(number("exposure_m")),
        exposure_signed: says("exposure_counts", "above_and_below"),
        wind_rose: section.numbers("wind_rose"),
        frost_height: Metres(number("frost_height_m")),
        ls_by_stream_power: says("ls_form", "stream_power"),
        ls_longest: Metres(number("ls_longest_m")),
    }
}

impl GroundRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        ground(&Section::file(&toml_edit::Table::new()))
    }
}

/// Reads `[zones]`.
pub(super) fn zones(root: &Section<'_>, report: &mut Report<'_>) -> ZoneRules {
    let section = root.child("zones");
    let number = |name: &str| section.number(name).unwrap_or_default();
    let slope_edges = match section.text("slope_edges").as_deref() {
        Some("whole_degrees") => SlopeEdges::WholeDegrees,
        _ => SlopeEdges::UpperBound,
    };
    ZoneRules {
        factors: section.words("factors").iter().filter_map(|word| factor(word)).collect(),
        min_area_m2: number("min_area_ha") * M2_PER_HA,
        min_width: Metres(number("min_width_m")),
        min_patch_m2: number("min_patch_m2"),
        slope_scale: Metres(number("slope_scale_m")),
        slope_edges,
        bands: bands(root, &section, report),
        wetness_edges: if section.text("wetness_by").as_deref() == Some("quantiles") {
            WetnessEdges::Quantiles(section.numbers("wetness_quantiles").unwrap_or_default())
        } else {
            WetnessEdges::Fixed(section.numbers("wetness_edges").unwrap_or_default())
        },
        exposure_edges: section.numbers("exposure_edges").unwrap_or_default(),
        frost_edges: section.numbers("frost_edges").unwrap_or_default(),
        sun_edges: section.numbers("sun_edges").unwrap_or_default(),
        sun_months: sun_months(&section, report),
        straighten: straighten(&section, report),
    }
}

impl ZoneRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        zones(&Section::file(&toml_edit::Table::new()), &mut Report::new("", Path::new("")))
    }
}

fn factor(word: &str) -> Option<ZoneFactor> {
    Some(match word {
        "slope_group" => ZoneFactor::SlopeGroup,
        "wetness_class" => ZoneFactor::WetnessClass,
        "sun_class" => ZoneFactor::SunClass,
        "exposure_class" => ZoneFactor::ExposureClass,
        "frost_class" => ZoneFactor::FrostClass,
        "cover_treatment" => ZoneFactor::CoverTreatment,
        _ => return None,
    })
}

fn bands(root: &Section<'_>, section: &Section<'_>, report: &mut Report<'_>) -> Vec<Band> {
    let tables = section.children("band");
    if let Some(surplus) = tables.get(MOST_BANDS) {
        let fault = Fault::new(format!("at most {MOST_BANDS} bands"), "take the others out")
            .found(format!("{} bands", tables.len()));
        report.error(&surplus.path_of(""), surplus.span(), fault);
    }
    let mut bands = Vec::new();
    for table in tables.iter().take(MOST_BANDS) {
        let layer = table.text("layer").and_then(|name| GroundLayer::from_name(&name));
        let Some((layer, edges)) = layer.zip(table.numbers("edges")) else { continue };
        if let Some(needed) = missing_for(layer, root) {
            let remedy = "add it, or take the band out: it would bound nothing";
            let fault = Fault::new(needed, remedy).found(format!("`{}` without it", layer.name()));
            report.error(&table.path_of("layer"), table.span_of("layer"), fault);
        }
        bands.push(Band { layer, edges });
    }
    bands
}

/// What a layer is made from and the site does not give.
fn missing_for(layer: GroundLayer, root: &Section<'_>) -> Option<&'static str> {
    let climate = root.child("layers").child("climate").is_given();
    let wind_rose = root.child("ground").get("wind_rose").is_some();
    match layer {
        GroundLayer::AnnualMean | GroundLayer::ColdestMonthMin if !climate => {
            Some("a climate table: [layers.climate]")
        }
        GroundLayer::WindExposure if !wind_rose => Some("a wind rose: ground.wind_rose"),
        _ => None,
    }
}

fn sun_months(section: &Section<'_>, report: &mut Report<'_>) -> Option<Vec<u8>> {
    if section.get("sun_months").is_some() {
        return Some(section.months("sun_months"));
    }
    report.take_default(&section.path_of("sun_months"), WINTER.to_owned());
    None
}

/// What stands in for months that are not given, until the latitude is known.
const WINTER: &str = "the four months around the winter solstice";

fn straighten(section: &Section<'_>, report: &mut Report<'_>) -> Option<Metres> {
    if section.get("straighten_m").is_some() {
        return section.number("straighten_m").map(Metres);
    }
    report.take_default(&section.path_of("straighten_m"), "one cell of the plan's grid".to_owned());
    None
}

/// Reads `[survival]`.
pub(super) fn survival(root: &Section<'_>) -> SurvivalRules {
    let section = root.child("survival");
    let number = |name: &str| section.number(name).unwrap_or_default();
    SurvivalRules {
        gentle: number("gentle"),
        steep: number("steep"),
        steep_from_deg: number("steep_from_deg"),
    }
}

/// Reads `[mosaic]` and reports what its keys say against each other.
pub(super) fn mosaic(root: &Section<'_>, folder: &Path, report: &mut Report<'_>) -> MosaicRules {
    let section = root.child("mosaic");
    let number = |name: &str| section.number(name).unwrap_or_default();
    if let (Some(floor), Some([_, _, last])) =
        (section.number("fit_floor"), section.numbers::<3>("fit_orders"))
        && floor < last
    {
        report_low_floor(&section, last, report);
    }
    MosaicRules {
        min_share: number("min_share"),
        fit_floor: number("fit_floor"),
        seed_line_weight: number("seed_line_weight"),
        line_cap: number("line_cap"),
        aim: Aim {
            fit: number("weight_fit"),
            nectar: number("weight_nectar"),
            area: number("weight_area"),
            cost: number("weight_cost"),
        },
        first_season: whole(&section, "first_season", report).map(|year| year as i32),
        seasons: whole(&section, "seasons", report).map_or(1, |count| count as usize),
        wait_loss: number("wait_loss"),
        planting_nzd: number("planting_nzd"),
        budget_nzd: section.number("budget_nzd"),
        season_budget_nzd: section.number("season_budget_nzd"),
        weeks_in_flower: whole(&section, "weeks_in_flower", report).map(|weeks| weeks as u32),
        flower_least: PlanHectares(number("flower_least_ha")),
        regenerate_worth: number("regenerate_worth"),
        join_loss: number("join_loss"),
        overrides: section.file_in(folder, "overrides"),
        fit_orders: section.numbers("fit_orders").unwrap_or_default(),
        gap: number("gap"),
        time_limit_s: number("time_limit_s"),
    }
}

impl MosaicRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        let (nothing, folder) = (toml_edit::Table::new(), Path::new(""));
        mosaic(&Section::file(&nothing), folder, &mut Report::new("", folder))
    }
}

/// A number that counts something.
pub(super) fn whole(section: &Section<'_>, name: &str, report: &mut Report<'_>) -> Option<f64> {
    let number = section.number(name)?;
    if number.fract() != 0.0 {
        let fault =
            Fault::new("a whole number", "leave the fraction out").found(number.to_string());
        report.error(&section.path_of(name), section.span_of(name), fault);
    }
    Some(number)
}

/// Reads `[layout]`.
pub(super) fn layout(root: &Section<'_>) -> LayoutRules {
    let section = root.child("layout");
    let number = |name: &str| section.number(name).unwrap_or_default();
    LayoutRules {
        manner: match section.text("plants").as_deref() {
            Some("rows") => Some(PlantManner::Rows),
            Some("squares") => Some(PlantManner::Squares),
            Some("triangles") => Some(PlantManner::Triangles),
            Some("scattered") => Some(PlantManner::Scattered),
            _ => None,
        },
        straight_below_deg: number("straight_below_deg"),
        least_share: number("least_share"),
        clear_of_stands: Metres(number("clear_of_stands_m")),
    }
}

/// Reads `[plots]`.
pub(super) fn plots(root: &Section<'_>) -> PlotRules {
    let section = root.child("plots");
    PlotRules {
        plan_area_ha: section.number("plan_area_ha"),
        half_width: section.number("half_width").unwrap_or_default(),
        least: section.number("least").unwrap_or_default() as usize,
    }
}

/// Reads `[order]`.
pub(super) fn order(root: &Section<'_>, report: &mut Report<'_>) -> OrderingRules {
    let section = root.child("order");
    let number = |name: &str| section.number(name).unwrap_or_default();
    OrderingRules {
        confidence: number("confidence"),
        spare: number("spare"),
        tray: whole(&section, "tray", report)
            .and_then(|tray| NonZeroU64::new(tray as u64))
            .unwrap_or(NonZeroU64::MIN),
        delivery_most: whole(&section, "delivery_most", report).map(|most| most as u64),
    }
}

/// Reads `[labour]`.
pub(super) fn labour(root: &Section<'_>, report: &mut Report<'_>) -> LabourRules {
    let section = root.child("labour");
    let number = |name: &str| section.number(name).unwrap_or_default();
    let mut few = |name: &str| whole(&section, name, report).map(|count| count as u32);
    let rules = LabourRules {
        people: few("people"),
        days: few("days"),
        gentle_per_day: number("gentle_per_day"),
        steep_per_day: number("steep_per_day"),
    };
    if rules.days.is_some() && rules.people.is_none() {
        let fault = Fault::new("`people` beside it", "add `people`, or take `days` out");
        report.error(&section.path_of("days"), section.span_of("days"), fault);
    }
    if rules.steep_per_day > rules.gentle_per_day {
        let LabourRules { gentle_per_day, steep_per_day, .. } = rules;
        let (key, expected) = if section.get("steep_per_day").is_some() {
            ("steep_per_day", format!("`gentle_per_day`, {gentle_per_day}, or fewer"))
        } else {
            ("gentle_per_day", format!("`steep_per_day`, {steep_per_day} by default, or more"))
        };
        let fault = Fault::new(expected, "nobody plants faster where it is steep: give both");
        report.error(&section.path_of(key), section.span_of(key), fault);
    }
    rules
}

impl LabourRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        labour(&Section::file(&toml_edit::Table::new()), &mut Report::new("", Path::new("")))
    }
}

impl OrderingRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        order(&Section::file(&toml_edit::Table::new()), &mut Report::new("", Path::new("")))
    }
}

impl PlotRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        plots(&Section::file(&toml_edit::Table::new()))
    }
}

impl LayoutRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        layout(&Section::file(&toml_edit::Table::new()))
    }
}

/// Reads `[eco_sourcing]`.
pub(super) fn eco_sourcing(root: &Section<'_>) -> EcoSourcing {
    let section = root.child("eco_sourcing");
    EcoSourcing {
        max_distance: section.number("max_distance_km").map(|km| Metres(km * 1_000.0)),
        max_height_difference: section.number("max_height_difference_m").map(Metres),
        seed_zone: section.text("seed_zone"),
    }
}

fn report_low_floor(section: &Section<'_>, last: f64, report: &mut Report<'_>) {
    let key = if section.get("fit_floor").is_some() { "fit_floor" } else { "fit_orders" };
    let expected = format!("a `fit_floor` that reaches the last of `fit_orders`, {last}");
    let fault = Fault::new(
        expected,
        "raise `fit_floor` or lower the last order: as it stands, ground of class N may be planted",
    );
    report.warning(&section.path_of(key), section.span_of(key), fault);
}
