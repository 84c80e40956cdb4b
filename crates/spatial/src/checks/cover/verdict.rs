//! What was judged, put into a check: figures, cautions, limits.

use std::path::Path;

use cover::Pattern;

use super::CheckedCover;
use super::judge::Judged;
use super::rows::{CoverCheck, PieceRow, PlantedBy};
use super::write::COVER_SCHEMA;
use crate::checks::BriefCaution;
use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::read::Crs;
use crate::site::{CoverRules, DefaultTaken, Measure};
use crate::units::PlanHectares;

/// What a check is of.
pub(super) struct About<'a> {
    /// The folder that names of files are taken from.
    pub(super) folder: &'a Path,
    pub(super) name: String,
    pub(super) inputs: Vec<InputRecord>,
    pub(super) defaults: Vec<DefaultTaken>,
    pub(super) by: PlantedBy,
    pub(super) pattern: Pattern,
    pub(super) first: Option<i32>,
    pub(super) boundary: geo::MultiPolygon<f64>,
    pub(super) cautions: Vec<BriefCaution>,
}

/// What should be looked at.
pub(super) fn doubts(judged: &Judged, rules: &CoverRules) -> Option<Problem> {
    let Measure::Stand(_) = rules.measure else { return None };
    (judged.wide_m2 > 0.0).then(|| {
        Problem::warning("cover.measure")
            .found(format!(
                "`{}` on {:.1} ha planted at fewer than {:.0} living plants a hectare",
                rules.measure.word(),
                PlanHectares::from_m2(judged.wide_m2).0,
                cover::FULLY_STOCKED_SPH
            ))
            .expected("natural regeneration at thousands of stems a hectare, in which the curve was measured")
            .remedy("read it as the most that may be hoped for; `crown` and `roots` reckon with the spacing")
    })
}

pub(super) fn checked(
    judged: Judged,
    about: About<'_>,
    rules: &CoverRules,
    crs: Crs,
    warnings: Vec<Problem>,
) -> CheckedCover {
    let ha = PlanHectares::from_m2;
    let by_year = about.first.map(|first| first + rules.by_years);
    let in_time =
        |piece: &PieceRow| piece.remedy_years.is_some_and(|years| years <= rules.by_years);
    let late = |piece: &PieceRow| piece.remedy_years.is_some_and(|years| years > rules.by_years);
    let none = |piece: &PieceRow| piece.remedy.is_none();
    let pieces = &judged.pieces;
    let nzd = |is_meant: &dyn Fn(&PieceRow) -> bool| {
        pieces.iter().filter(|one| is_meant(one)).filter_map(|one| one.remedy_nzd).sum()
    };
    let plan_ha = |is_meant: &dyn Fn(&PieceRow) -> bool| {
        pieces.iter().filter(|one| is_meant(one)).map(|one| one.plan_area_ha).sum()
    };
    let mut all_cautions = about.cautions;
    all_cautions.extend(cautions());
    let check = CoverCheck {
        schema: COVER_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: about.name,
        crs: crs.definition(),
        planted: about.by,
        inputs: about.inputs,
        defaults: about.defaults,
        measure: rules.measure.word(),
        pattern: about.pattern.word(),
        target: rules.target,
        by_years: rules.by_years,
        by_year,
        plan_ha: ha(judged.plan_m2),
        may_slip_plan_ha: ha(judged.may_slip_m2),
        below_plan_ha: ha(judged.below_m2),
        below_small_plan_ha: ha(judged.below_small_m2),
        unknown_plan_ha: ha(judged.unknown_m2),
        never_plan_ha: ha(judged.never_m2),
        remedies_nzd: nzd(&in_time),
        remedies_plan_ha: plan_ha(&in_time),
        late_remedies_nzd: nzd(&late),
        late_remedies_plan_ha: plan_ha(&late),
        no_remedy_plan_ha: plan_ha(&none),
        soil_loss_ratio: judged.soil_loss_ratio,
        by_year_rows: judged.rows,
        pieces: judged.pieces.clone(),
        cautions: all_cautions,
        limits: LIMITS.to_vec(),
        warnings: warnings.into_iter().map(|one| one.named_from(about.folder)).collect(),
        boundary: about.boundary,
    };
    CheckedCover { check, crs, now: judged.now, then: judged.then }
}

/// What people must know: common practice, no source.
fn cautions() -> Vec<BriefCaution> {
    let one = BriefCaution::new;
    vec![
        one(
            "who decides",
            "local rules and licensed people decide: an erosion adviser or geotechnical engineer looks at the slope itself before anyone relies on it",
        ),
        one(
            "steep ground",
            "planting by hand above 35° needs a site safety plan, and people keep off ground above bluffs; machines need one above 15° on wheels and 22° on tracks",
        ),
        one(
            "slopes",
            "a slope that is covered may still slip, and one that is not may hold: keep people, tracks and buildings clear of ground that moves, above and below",
        ),
        one(
            "floods",
            "soil and slash from slips reach streams: ask the council before work beside water",
        ),
    ]
}

/// How far the figures go.
const LIMITS: [&str; 5] = [
    "A share of ground protected is that under crowns, or bound by roots, or that of slips lessened in stands of that age; none is a chance of failure.",
    "Crowns and roots grow as `cover.growth` says, the same on all ground but slip scars; drought, browsing and fire are not in it.",
    "Most roots of young plants lie in the top half metre (root system attributes of 12 juvenile indigenous species, NZ J. Forestry Science 2018): deeper slips pass below them.",
    "Slope above a threshold is not susceptibility: rock, soil depth, water and aspect count too, and thresholds differ between terrains.",
    "Relative soil loss is of sheet and rill alone (RUSLE), fitted on gentler slopes; slips, gullies and banks are not in it.",
];
