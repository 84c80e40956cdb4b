//! Places in the kept stands where mother trees would be looked for, as `hillweave seed sites` draws them.

use serde_json::{Value as Json, json};
use spatial::pipeline::Zoned;
use spatial::plan::USUAL_SEED;
use spatial::problem::Problem;
use spatial::seed::columns::PLACE;
use spatial::seed::{FIELD_SHEET, SitesAsked, sites};

use crate::plan_now::PlanNow;
use crate::table::Table;

/// Draws them on the ground of the present plan.
///
/// # Errors
/// When there is no stand to sample, or fewer places than trees are wanted.
pub(crate) fn trees(now: &PlanNow) -> Result<Json, Vec<Problem>> {
    let zoned = Zoned::of(&now.fitted.property)?;
    let asked = SitesAsked {
        seed: USUAL_SEED,
        by_spread: false,
        pilot: None,
        trees: None,
        trees_wanted: None,
    };
    let drawn = sites(&zoned, &asked)?;
    let at: Vec<[f64; 2]> =
        drawn.trees.iter().map(|tree| [tree.easting_m, tree.northing_m]).collect();
    // The columns that are filled in at the tree are blank.
    let known = &FIELD_SHEET[..PLACE.len()];
    let mut told =
        serde_json::to_value(Table::of(known, &drawn.trees, &drawn)?).unwrap_or_default();
    told["at"] = json!(at);
    told["because"] = json!(drawn.trees_because);
    told["cautions"] = json!(drawn.cautions);
    Ok(told)
}
