//! The columns of the tables of a check of cover.

use super::rows::{CoverCheck, PieceRow, YearRow};
use crate::write::columns::Column;
use crate::write::{Kind, Value};

type YearColumn = Column<YearRow, CoverCheck>;
type PieceColumn = Column<PieceRow, CoverCheck>;

const WORDS: (Kind, &str, &str) = (Kind::Text, "", "");
const MAP_HA: (Kind, &str, &str) = (Kind::Real, "ha", "map");
const SHARE: (Kind, &str, &str) = (Kind::Real, "0 to 1", "map area");
const YEARS: (Kind, &str, &str) = (Kind::Integer, "years", "");
const YEAR: (Kind, &str, &str) = (Kind::Integer, "year", "");

fn whole(number: Option<i32>) -> Value {
    number.map_or(Value::Null, |number| Value::Integer(i64::from(number).unsigned_abs()))
}

/// Cover by class of ground, measure and year.
#[rustfmt::skip] // a table
pub(crate) static BY_YEAR: [YearColumn; 15] = [
    YearColumn::new("by", WORDS, "What parts the classes: slope_group (LUC), with old slip scars as a class of their own, or erosion_terrain.", |r, _| r.by.into()),
    YearColumn::new("class", WORDS, "The class: A to G, slip_scar, or a terrain.", |r, _| (&r.class).into()),
    YearColumn::new("may_slip_only", WORDS, "yes: the row counts only ground that may slip; no: all ground of the class.", |r, _| if r.may_slip_only { "yes" } else { "no" }.into()),
    YearColumn::new("measure", WORDS, "What protective cover is reckoned by: crown, roots, stand_1993 or stand_1995.", |r, _| r.measure.into()),
    YearColumn::new("years", YEARS, "Years after the first planting winter; null: today, before it.", |r, _| whole(r.years)),
    YearColumn::new("year", YEAR, "The year, where the plan names winters.", |r, _| whole(r.year)),
    YearColumn::new("plan_area_ha", MAP_HA, "Its map area.", |r, _| r.plan_area_ha.0.into()),
    YearColumn::new("protected_plan_ha", MAP_HA, "Map area protected.", |r, _| r.protected_plan_ha.0.into()),
    YearColumn::new("protected_share", SHARE, "Share of it protected.", |r, _| r.protected_share.into()),
    YearColumn::new("under_20_plan_ha", MAP_HA, "Map area on which less than 20 % is protected.", |r, _| r.bands_plan_ha[0].0.into()),
    YearColumn::new("from_20_plan_ha", MAP_HA, "From 20 to under 40 %.", |r, _| r.bands_plan_ha[1].0.into()),
    YearColumn::new("from_40_plan_ha", MAP_HA, "From 40 to under 60 %.", |r, _| r.bands_plan_ha[2].0.into()),
    YearColumn::new("from_60_plan_ha", MAP_HA, "From 60 to under 80 %.", |r, _| r.bands_plan_ha[3].0.into()),
    YearColumn::new("from_80_plan_ha", MAP_HA, "80 % and more.", |r, _| r.bands_plan_ha[4].0.into()),
    YearColumn::new("below_plan_ha", MAP_HA, "Map area that may slip and is below the target.", |r, _| r.below_plan_ha.0.into()),
];

/// Pieces below the target at the target year.
#[rustfmt::skip] // a table
pub static PIECES: [PieceColumn; 15] = [
    PieceColumn::new("piece_id", WORDS, "Name of the piece, unique in the check; the largest is the first.", |p, _| (&p.piece_id).into()),
    PieceColumn::new("lies_in", WORDS, "Zone, stand or keep-clear piece of the plan that it lies in; null where no site was checked.", |p, _| p.lies_in.as_ref().into()),
    PieceColumn::new("plan_area_ha", MAP_HA, "Its map area, from whole cells.", |p, _| p.plan_area_ha.0.into()),
    PieceColumn::new("slope_mean_deg", (Kind::Real, "degrees", "map area"), "Mean slope.", |p, _| p.slope_mean_deg.into()),
    PieceColumn::new("slope_groups", WORDS, "LUC slope groups on it, from the gentlest.", |p, _| Value::Text(p.slope_group_plan_ha.keys().copied().collect::<Vec<_>>().join(" "))),
    PieceColumn::new("reason", WORDS, "Why it is below the target.", |p, _| (&p.reason).into()),
    PieceColumn::new("protected_now", SHARE, "Share protected today.", |p, _| p.protected_now.into()),
    PieceColumn::new("protected_then", SHARE, "Share protected at the target year.", |p, _| p.protected_then.into()),
    PieceColumn::new("reaches_years", YEARS, "Years after the first planting winter in which all of it reaches the target as things stand; null: not within 60.", |p, _| whole(p.reaches_years)),
    PieceColumn::new("reaches_year", YEAR, "The year of that, where the plan names winters.", |p, _| whole(p.reaches_year)),
    PieceColumn::new("remedy", WORDS, "Cheapest of closer_spacing, infill, poles and leave_to_regenerate that serves by the target year; the soonest where none does; null where none ever does.", |p, _| p.remedy.map_or(Value::Null, |remedy| remedy.word().into())),
    PieceColumn::new("remedy_plants", (Kind::Integer, "plants", ""), "Plants to order beyond the plan, losses included, or poles to set.", |p, _| p.remedy_plants.map_or(Value::Null, Value::Integer)),
    PieceColumn::new("remedy_nzd", (Kind::Real, "NZ$", ""), "What it costs, by the prices of the site and the stock; a plant without a price costs nothing.", |p, _| p.remedy_nzd.map_or(Value::Null, Value::from)),
    PieceColumn::new("remedy_words", WORDS, "The same in a sentence.", |p, _| (&p.remedy_words).into()),
    PieceColumn::new("caution", WORDS, "What to be careful of there; local rules and licensed people decide.", |p, _| (&p.caution).into()),
];
