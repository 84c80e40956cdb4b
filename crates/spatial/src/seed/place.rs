//! Where a tree stands, as a sheet tells it.

use super::number::{Written, written};
use crate::faults::Faults;
use crate::sheet::Row;

/// Farthest from the origin that coordinates of a grid in metres can lie.
const FARTHEST_M: f64 = 1e8;

/// Easting and northing of a row, metres in the plan's coordinate system.
pub(super) fn place(row: &Row<'_>, faults: &mut Faults<'_>) -> Option<[f64; 2]> {
    let [east, north] = ["easting_m", "northing_m"].map(|name| metres(row, name, faults));
    let at = [east?, north?];
    if at[0].abs() <= 180.0 && at[1].abs() <= 90.0 {
        let found = format!("{}, {}, which look like longitude and latitude", at[0], at[1]);
        let expected = "metres in the plan's coordinate system";
        let remedy = "put degrees into `longitude_deg` and `latitude_deg`, and write here the \
                      easting and northing that went out with the sheet";
        faults.cell(row, "easting_m", [found.as_str(), expected, remedy]);
        return None;
    }
    Some(at)
}

fn metres(row: &Row<'_>, name: &str, faults: &mut Faults<'_>) -> Option<f64> {
    if !row.has(name) {
        return None; // reported with the first row
    }
    let expected = "metres in the plan's coordinate system";
    match written(row.cell(name)) {
        Ok(Written::Plain(number)) if number.abs() <= FARTHEST_M => return Some(number),
        Ok(Written::Nothing) => {
            let remedy = "write where the tree stands: without it no one can go back to it";
            faults.cell(row, name, ["no coordinate", expected, remedy]);
        }
        Ok(Written::Plain(_) | Written::Below(_)) => {
            let found = format!("`{}`", row.cell(name));
            faults.cell(
                row,
                name,
                [found.as_str(), expected, "check it against the sheet that went out"],
            );
        }
        Err(wrong) => faults.cell(row, name, wrong),
    }
    None
}
