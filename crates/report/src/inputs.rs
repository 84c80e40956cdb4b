//! What was read of the site for the report, held against what its plan was made of.

use std::collections::BTreeMap;
use std::path::Path;

use geo::{BoundingRect, Rect};
use serde::Serialize;
use spatial::pipeline::Fitted;
use spatial::plan::{InputRecord, Shapes};
use spatial::problem::Problem;

use crate::record::Record;

/// Metres by which a plan may reach beyond the boundary of its property: borders are traced on a grid.
const BEYOND_M: f64 = 1.0;

/// What was read of the site as it is now.
#[derive(Debug, Clone, Serialize)]
pub struct Inputs {
    /// Its files, the site file first.
    pub inputs: Vec<Input>,
    /// Files that are not those of the plan.
    pub warnings: Vec<Problem>,
}

/// A file that was read.
#[derive(Debug, Clone, Serialize)]
pub struct Input {
    /// What it is for.
    pub role: String,
    /// File name relative to the site folder.
    pub file: String,
    /// SHA-256, hexadecimal.
    pub sha256: String,
    /// Whether the plan was made of the same bytes.
    pub same_as_plan: bool,
}

impl Inputs {
    /// The files of a site held against those that a plan names.
    pub(crate) fn held_against(plan: &Record, now: &[InputRecord]) -> Self {
        let mut before: BTreeMap<&str, &str> = BTreeMap::new();
        for row in plan.rows("/inputs") {
            let text = |name: &str| plan.text(&format!("{row}/{name}"));
            before.insert(text("file"), text("sha256"));
        }
        let mut warnings = Vec::new();
        let mut inputs = Vec::new();
        for one in now {
            let file = one.file.display().to_string();
            let known = before.remove(file.as_str());
            let same_as_plan = known == Some(one.sha256.as_str());
            if !same_as_plan {
                warnings.push(differs(&one.role, &file, Some(&one.sha256), known));
            }
            let (role, sha256) = (one.role.clone(), one.sha256.clone());
            inputs.push(Input { role, file, sha256, same_as_plan });
        }
        warnings.extend(before.iter().map(|(file, sum)| differs("input", file, None, Some(sum))));
        Self { inputs, warnings }
    }
}

/// A file that is not the one that the plan was made of.
fn differs(role: &str, file: &str, now: Option<&str>, before: Option<&str>) -> Problem {
    let short = |sum: &str| format!("SHA-256 {}…", sum.get(..12).unwrap_or(sum));
    let found = now.map_or_else(|| "not read now".to_owned(), |sum| format!("{} now", short(sum)));
    let expected = before.map_or_else(
        || "a file that the plan was made of".to_owned(),
        |sum| format!("{}, which the plan was made of", short(sum)),
    );
    Problem::warning(role)
        .file(file)
        .found(found)
        .expected(expected)
        .remedy("what the checks say is of the site as it is now: make the plan again with `hillweave plan`, or give the site as it was")
}

/// Refuses the plan of one property beside the site of another.
///
/// # Errors
/// When names or coordinate systems differ, or the plan reaches beyond the boundary of the site.
pub(crate) fn same_property(
    plan: &Record,
    shapes: &Shapes,
    folder: &Path,
    fitted: &Fitted,
) -> Result<(), Problem> {
    let site = Whose {
        name: &fitted.site.name,
        crs: fitted.ready.crs.describe(),
        ground: fitted.ready.boundary.bounding_rect(),
    };
    let planned = Whose {
        name: plan.text("/site"),
        crs: plan.text("/crs").to_owned(),
        ground: shapes.extent(),
    };
    let Some([found, expected]) = planned.unlike(&site) else { return Ok(()) };
    Err(Problem::error("plan")
        .file(folder)
        .found(format!("a plan of {}: {found}", planned.name))
        .expected(format!("a plan of {} ({}): {expected}", site.name, fitted.site.file.display()))
        .remedy(
            "give the site that the plan was made of, or make the plan again with `hillweave plan`",
        ))
}

/// What tells one property from another.
struct Whose<'a> {
    name: &'a str,
    crs: String,
    ground: Option<Rect<f64>>,
}

impl Whose<'_> {
    /// The first thing in which a plan is not that of a site: as it is, and as it would be.
    fn unlike(&self, site: &Self) -> Option<[String; 2]> {
        if self.crs != site.crs {
            let system = |crs: &str| format!("coordinate system {crs}");
            return Some([system(&self.crs), system(&site.crs)]);
        }
        if let (Some(planned), Some(ground)) = (self.ground, site.ground)
            && !reaches(&ground, &planned)
        {
            return Some([
                format!("its ground is {}", extent(&planned)),
                format!("ground inside the boundary, {}", extent(&ground)),
            ]);
        }
        (self.name != site.name).then(|| {
            let name = |name: &str| format!("site.name = \"{name}\"");
            [name(self.name), name(site.name)]
        })
    }
}

/// Whether ground holds other ground, but for what tracing moves.
fn reaches(ground: &Rect<f64>, other: &Rect<f64>) -> bool {
    let (low, high) = (ground.min(), ground.max());
    other.min().x >= low.x - BEYOND_M
        && other.min().y >= low.y - BEYOND_M
        && other.max().x <= high.x + BEYOND_M
        && other.max().y <= high.y + BEYOND_M
}

fn extent(ground: &Rect<f64>) -> String {
    let (low, high) = (ground.min(), ground.max());
    format!("{:.0} to {:.0} m east, {:.0} to {:.0} m north", low.x, high.x, low.y, high.y)
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use serde_json::json;

    use super::*;

    #[test]
    fn every_file_that_differs_is_told_the_site_file_too() {
        let plan = Record::read(
            "plan.json",
            json!({"inputs": [
                {"role": "site", "file": "site.toml", "sha256": "aa"},
                {"role": "stock", "file": "stock.toml", "sha256": "bb"},
                {"role": "cover", "file": "cover.tif", "sha256": "cc"},
            ]}),
        );
        let now = [
            ("site", "site.toml", "a1"),
            ("stock", "stock.toml", "bb"),
            ("climate", "c.csv", "dd"),
        ];
        let now = now.map(|(role, file, sum)| InputRecord {
            role: role.into(),
            file: PathBuf::from(file),
            sha256: sum.into(),
        });
        let held = Inputs::held_against(&plan, &now);
        let same: Vec<bool> = held.inputs.iter().map(|one| one.same_as_plan).collect();
        assert_eq!(same, [false, true, false]);
        let told: Vec<_> = held
            .warnings
            .iter()
            .map(|one| one.file.clone().unwrap().display().to_string())
            .collect();
        assert_eq!(told, ["site.toml", "c.csv", "cover.tif"]);
    }

    #[test]
    fn a_neighbour_is_another_property() {
        let at = |west: f64, east: f64| Some(Rect::new((west, 0.0), (east, 100.0)));
        let whose =
            |name: &'static str, crs: &str, ground| Whose { name, crs: crs.to_owned(), ground };
        let site = whose("Here", "EPSG:2193", at(0.0, 500.0));
        assert_eq!(whose("Here", "EPSG:2193", at(-0.4, 500.4)).unlike(&site), None);
        assert_eq!(whose("Here", "EPSG:2193", None).unlike(&site), None);
        let words = |one: Whose| one.unlike(&site).unwrap().concat();
        assert!(words(whose("Here", "EPSG:27200", at(0.0, 500.0))).contains("EPSG:27200"));
        assert!(words(whose("Here", "EPSG:2193", at(0.0, 502.0))).contains("0 to 502 m east"));
        assert!(words(whose("There", "EPSG:2193", at(9.0, 12.0))).contains("There"));
    }
}
