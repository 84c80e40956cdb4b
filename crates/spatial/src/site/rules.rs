//! The rules of zones, survival and mosaic.

use super::fault::Fault;
use super::report::Report;
use super::section::Section;
use super::{MosaicRules, SlopeEdges, SurvivalRules, ZoneFactor, ZoneRules};
use crate::units::{M2_PER_HA, Metres};

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
        min_patch_m2: number("min_patch_m2"),
        slope_scale: Metres(number("slope_scale_m")),
        slope_edges,
        wetness_edges: section.numbers("wetness_edges").unwrap_or_default(),
        sun_edges: section.numbers("sun_edges").unwrap_or_default(),
        sun_months: section.months("sun_months"),
        straighten: straighten(&section, report),
    }
}

fn factor(word: &str) -> Option<ZoneFactor> {
    Some(match word {
        "slope_group" => ZoneFactor::SlopeGroup,
        "wetness_class" => ZoneFactor::WetnessClass,
        "sun_class" => ZoneFactor::SunClass,
        "cover_treatment" => ZoneFactor::CoverTreatment,
        _ => return None,
    })
}

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
pub(super) fn mosaic(root: &Section<'_>, report: &mut Report<'_>) -> MosaicRules {
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
        fit_orders: section.numbers("fit_orders").unwrap_or_default(),
        gap: number("gap"),
        time_limit_s: number("time_limit_s"),
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
