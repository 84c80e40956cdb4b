//! The money of a plan as files.

use std::path::Path;

use super::columns::{CASH, COSTS, SENSITIVITY};
use super::page::page;
use super::rows::Money;
use crate::problem::Problem;
use crate::write::{StagedFolder, Written};

/// The record.
pub const MONEY_JSON: &str = "money.json";
/// Costs by zone, stage and year.
pub const COSTS_CSV: &str = "costs.csv";
/// Cash by year.
pub const CASH_FLOW_CSV: &str = "cash_flow.csv";
/// What moves the present value most.
pub const SENSITIVITY_CSV: &str = "sensitivity.csv";
/// The page to read and print.
pub const MONEY_HTML: &str = "money.html";
/// Schema of the record, its first member.
pub const MONEY_SCHEMA: &str = "hillweave.money/1";

/// Writes every file into a folder, whole or not at all, and says which.
///
/// # Errors
/// When the folder may not be made or replaced, or the disk refuses. Nothing new is left then, and what was
/// there stays.
pub fn write_money(money: &Money, target: &Path, overwrite: bool) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    folder.record(MONEY_JSON, money)?;
    folder.table(COSTS_CSV, &COSTS, &money.costs, money)?;
    folder.table(CASH_FLOW_CSV, &CASH, &money.cash_flow, money)?;
    folder.table(SENSITIVITY_CSV, &SENSITIVITY, &money.sensitivity, money)?;
    folder.write(MONEY_HTML, page(money).as_bytes())?;
    folder.commit()
}
