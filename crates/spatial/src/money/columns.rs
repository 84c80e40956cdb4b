//! The columns of the tables of money.

use super::cautions::SHORT;
use super::rows::{CashRow, CostRow, Money, SensitivityRow};
use crate::write::columns::Column;
use crate::write::{Kind, Value};

type CostColumn = Column<CostRow, Money>;
type CashColumn = Column<CashRow, Money>;
type DriverColumn = Column<SensitivityRow, Money>;

const WORDS: (Kind, &str, &str) = (Kind::Text, "", "");
const YEARS: (Kind, &str, &str) = (Kind::Integer, "years", "");
const YEAR: (Kind, &str, &str) = (Kind::Integer, "year", "");
const NZD: (Kind, &str, &str) = (Kind::Real, "NZ$", "of today");
const OWN: (Kind, &str, &str) = (Kind::Real, "see unit", "");

const YEAR_MEANING: &str = "Years after the first winter of the plan.";
const CALENDAR_MEANING: &str = "Year of the calendar; null where the plan names none.";
const NOTE_MEANING: &str = "What goes with every figure.";

/// Years before 0 are in no plan.
fn calendar(year: Option<i32>) -> Value {
    year.and_then(|year| u64::try_from(year).ok()).map_or(Value::Null, Value::Integer)
}

/// To the cent: an estimate has no more digits.
fn to_the_cent(nzd: f64) -> Value {
    ((nzd * 100.0).round() / 100.0 + 0.0).into()
}

/// Costs by zone, stage and year.
#[rustfmt::skip] // a table
pub(crate) static COSTS: [CostColumn; 6] = [
    CostColumn::new("zone_id", WORDS, "The zone; `property`: what belongs to none.", |r, _| (&r.zone_id).into()),
    CostColumn::new("stage", WORDS, "Stage of the work: preparation, fencing, plants, planting, release, pests, blanking, overhead.", |r, _| r.stage.into()),
    CostColumn::new("year", YEARS, YEAR_MEANING, |r, _| r.year.into()),
    CostColumn::new("calendar_year", YEAR, CALENDAR_MEANING, |r, _| calendar(r.calendar_year)),
    CostColumn::new("cost_nzd", NZD, "Cost, in whole cents; all rows add up to `cost_nzd` of `money.json`.", |r, _| r.cost_nzd.into()),
    CostColumn::new("note", WORDS, NOTE_MEANING, |_, _| SHORT.into()),
];

/// Cash by year.
#[rustfmt::skip] // a table
pub(crate) static CASH: [CashColumn; 9] = [
    CashColumn::new("year", YEARS, YEAR_MEANING, |r, _| r.year.into()),
    CashColumn::new("calendar_year", YEAR, CALENDAR_MEANING, |r, _| calendar(r.calendar_year)),
    CashColumn::new("low_nzd", NZD, "Cash with everything at its low end at once: high costs, low income. Above 0 comes in.", |r, _| to_the_cent(r.low_nzd)),
    CashColumn::new("middle_nzd", NZD, "Cash with everything at its middle.", |r, _| to_the_cent(r.middle_nzd)),
    CashColumn::new("high_nzd", NZD, "Cash with everything at its high end at once: low costs, high income.", |r, _| to_the_cent(r.high_nzd)),
    CashColumn::new("low_sum_nzd", NZD, "All cash up to then, low.", |r, _| to_the_cent(r.low_sum_nzd)),
    CashColumn::new("middle_sum_nzd", NZD, "All cash up to then, middle.", |r, _| to_the_cent(r.middle_sum_nzd)),
    CashColumn::new("high_sum_nzd", NZD, "All cash up to then, high.", |r, _| to_the_cent(r.high_sum_nzd)),
    CashColumn::new("note", WORDS, NOTE_MEANING, |_, _| SHORT.into()),
];

/// What moves the present value most.
#[rustfmt::skip] // a table
pub(crate) static SENSITIVITY: [DriverColumn; 10] = [
    DriverColumn::new("driver", WORDS, "Figure that is moved while all others keep their middle.", |r, _| (&r.driver).into()),
    DriverColumn::new("unit", WORDS, "Its unit.", |r, _| r.unit.into()),
    DriverColumn::new("low", OWN, "Its low end; null where its middle is 0.", |r, _| r.low.into()),
    DriverColumn::new("middle", OWN, "Its middle.", |r, _| r.middle.into()),
    DriverColumn::new("high", OWN, "Its high end.", |r, _| r.high.into()),
    DriverColumn::new("npv_low_nzd", NZD, "Net present value at the low end.", |r, _| to_the_cent(r.npv_low_nzd)),
    DriverColumn::new("npv_high_nzd", NZD, "Net present value at the high end.", |r, _| to_the_cent(r.npv_high_nzd)),
    DriverColumn::new("swing_nzd", NZD, "How far apart the two lie.", |r, _| to_the_cent(r.swing_nzd)),
    DriverColumn::new("break_even", OWN, "Its value at which the net present value is 0; null where there is none or several.", |r, _| r.break_even.into()),
    DriverColumn::new("note", WORDS, NOTE_MEANING, |_, _| SHORT.into()),
];
