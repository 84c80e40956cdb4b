//! `plan.json`: the whole plan, pretty-printed.

use serde::Serialize;

use super::finite::check_finite;
use crate::plan::Plan;
use crate::problem::Problem;

/// Name of the file.
pub const PLAN_JSON: &str = "plan.json";

/// Schema of a plan, the first member of `plan.json`.
pub const SCHEMA: &str = "hillweave.plan/1";

/// The plan as UTF-8 JSON: keys in the order of [`Plan`], two spaces, one line break at the end.
///
/// # Errors
/// When a number is not finite, or a file name is not Unicode.
pub fn plan_json(plan: &Plan) -> Result<Vec<u8>, Problem> {
    pretty_json(plan).map_err(|problem| problem.file(PLAN_JSON))
}

pub(crate) fn pretty_json<T: Serialize>(value: &T) -> Result<Vec<u8>, Problem> {
    check_finite(value)?;
    let mut bytes = serde_json::to_vec_pretty(value).map_err(|error| {
        Problem::error("the plan")
            .found(error.to_string())
            .expected("names and numbers that JSON can hold")
            .remedy("give the files of the site names in plain Unicode letters")
    })?;
    bytes.push(b'\n');
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::fixture;

    #[test]
    fn the_schema_comes_first_and_a_line_break_last() {
        let text = String::from_utf8(plan_json(&fixture::plan()).unwrap()).unwrap();
        assert!(text.starts_with("{\n  \"schema\": \"hillweave.plan/1\",\n"));
        assert!(text.ends_with("}\n") && !text.ends_with("\n\n"));
        assert!(text.contains("mānuka") && !text.contains("geometry"));
    }

    #[test]
    fn not_a_number_is_refused_with_its_place() {
        let mut plan = fixture::plan();
        plan.zones[1].slope_p90_deg = f64::NAN;
        let refused = plan_json(&plan).unwrap_err();
        assert_eq!(refused.item, "zones[1].slope_p90_deg");
        assert_eq!(refused.found, "NaN");
    }

    #[test]
    fn unknown_is_null_and_none_is_zero() {
        let value: serde_json::Value =
            serde_json::from_slice(&plan_json(&fixture::plan()).unwrap()).unwrap();
        assert!(value["zones"][1]["best_fit"].is_null());
        assert_eq!(value["zones"][1]["left_reason"], "nothing fits");
        assert_eq!(value["zones"][0]["left_share"], 0.0);
        assert_eq!(value["blocks"][1]["seedlings"], 0);
    }
}
