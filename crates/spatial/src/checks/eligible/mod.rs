//! Planted ground held against the tests of schemes and grants.
//!
//! ```text
//! plan: zones, lines, plants ─► pieces that hang together ─► area, width, height, crowns, living stems
//! rule files: tests as data ──────────────────────────────────────────┴─► meets, does not meet, cannot be told
//! ```
//! A verdict is about a test as it is written in a rule file, never about what a scheme will say.

mod columns;
mod compare;
mod judge;
mod pieces;
mod rows;
mod rule;
mod rule_file;
#[cfg(test)]
mod tests;
mod write;

use std::path::Path;
use std::sync::Arc;

pub(crate) use columns::{PIECES, RESULTS};
pub use compare::{Compare, Verdict};
pub use rows::{EligibleCheck, PieceRow, ResultRow};
pub use rule::{Quantity, Rule, Source, State, Test};
pub use rule_file::parse_rule;
pub use write::write_eligible;
pub(crate) use write::{ELIGIBLE_CSV, ELIGIBLE_GPKG, ELIGIBLE_JSON};

use super::BriefCaution;
use super::cover::planted::{Planted, Told};
use super::cover::{about_ground, pattern_of};
use crate::pipeline::{Property, Stage};
use crate::plan::{Land, WHY_NOTHING};
use crate::problem::Problem;
use crate::read::{Crs, Ready};
use crate::site::Site;
use crate::units::M2_PER_HA;
use compare::Found;
use judge::{Ground, Standing};
use pieces::Piece;

/// A check against rule sets, and the coordinate system of its pieces.
pub struct CheckedEligible {
    /// The check.
    pub check: EligibleCheck,
    /// Its coordinate system.
    pub crs: Crs,
}

/// Holds the planted ground of a plan against rule sets: that of `folder`, or one that is made now. `enter` is
/// told of each stage of a plan that is made.
///
/// # Errors
/// Every fault of the site, its stock and its rule files; a plan that cannot be read or made, is one of other
/// ground, or plants nothing.
pub fn check_eligible(
    site_file: &Path,
    folder: Option<&Path>,
    enter: &mut dyn FnMut(Stage),
) -> Result<CheckedEligible, Vec<Problem>> {
    // Refuses rule files now rather than after the work.
    let (site, _) = crate::site::load(site_file)?;
    let rules = rule_file::rules(site.eligibility.rules.as_deref())?;
    of_land(&Land::read(site_file, folder, enter)?, rules)
}

/// The same of the plan in a folder, on a property that was read before.
///
/// # Errors
/// As [`check_eligible`].
pub fn check_eligible_on(
    property: &Arc<Property>,
    plan: &Path,
) -> Result<CheckedEligible, Vec<Problem>> {
    let rules = rule_file::rules(property.site.eligibility.rules.as_deref())?;
    of_land(&Land::of(property, plan)?, rules)
}

fn of_land(land: &Land<Told>, rules: Vec<Rule>) -> Result<CheckedEligible, Vec<Problem>> {
    let Property { site, library, ready, ground: made, zones } = &**land;
    let mut warnings = about_ground(ready, &made.notes, zones);
    warnings.extend(land.changed.clone());
    let checked =
        Planted::of(&land.plan, zones, library, site.mosaic.fit_floor).and_then(|planted| {
            let (cover, pattern) = (ready.cover.as_deref(), pattern_of(site));
            let slope_deg = &made.slope_deg;
            let ground =
                Ground { site, library, zones, planted: &planted, slope_deg, cover, pattern };
            checked(&ground, ready, rules, warnings)
        });
    Ok(checked.map_err(|problem| land.in_plan(problem))?)
}

fn checked(
    ground: &Ground<'_>,
    ready: &Ready,
    rules: Vec<Rule>,
    warnings: Vec<Problem>,
) -> Result<CheckedEligible, Problem> {
    let parts = ground.parts();
    if parts.is_empty() {
        return Err(Problem::error("blocks")
            .found("nothing that is planted")
            .expected("a plan with blocks")
            .remedy(WHY_NOTHING));
    }
    let pieces = Ground::pieces(&parts)?;
    let open_m2 = ground.open_m2(&parts);
    let (mut piece_rows, mut results) = (Vec::new(), Vec::new());
    for (at, piece) in pieces.iter().enumerate() {
        let standing = ground.standing(piece, &parts, &open_m2);
        let mut row = piece_row(format!("P{:03}", at + 1), ground, piece, &standing);
        for rule in &rules {
            let of_rule: Vec<ResultRow> = rule
                .tests
                .iter()
                .enumerate()
                .map(|(test, one)| result_row(&row.piece_id, rule, (test, one), &standing))
                .collect();
            // The worst of its tests is the rule's.
            let names = match of_rule.iter().map(|row| row.verdict).min() {
                Some(Verdict::Meets) => &mut row.meets,
                Some(Verdict::DoesNotMeet) => &mut row.does_not_meet,
                Some(Verdict::CannotBeTold) | None => &mut row.cannot_be_told,
            };
            names.push(rule.rule_id.clone());
            results.extend(of_rule);
        }
        piece_rows.push(row);
    }
    let check = EligibleCheck {
        schema: write::ELIGIBLE_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: ground.site.name.clone(),
        crs: ready.crs.definition(),
        caution: CAUTION,
        inputs: ready.inputs.clone(),
        defaults: of_crowns(ground.site),
        pattern: ground.pattern.word(),
        rules,
        pieces: piece_rows,
        results,
        cautions: CAUTIONS.to_vec(),
        limits: LIMITS.to_vec(),
        warnings: warnings.into_iter().map(|one| one.named_from(ground.site.folder())).collect(),
    };
    Ok(CheckedEligible { check, crs: ready.crs.clone() })
}

fn piece_row(
    piece_id: String,
    ground: &Ground<'_>,
    piece: &Piece,
    standing: &Standing<'_>,
) -> PieceRow {
    let mut zones: Vec<String> =
        standing.parts.iter().map(|part| ground.zones.zones[part.zone].id.clone()).collect();
    zones.sort();
    zones.dedup();
    let mut lines: Vec<(f64, &str)> = standing
        .lines
        .iter()
        .map(|(line, m2)| (*m2, ground.library.stocks()[*line].id.as_str()))
        .collect();
    lines.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(other.1)));
    PieceRow {
        piece_id,
        zones,
        plan_area_ha: piece.plan_m2 / M2_PER_HA,
        planted_plan_ha: standing.planted_m2 / M2_PER_HA,
        mean_width_m: piece.mean_width_m,
        live_sph: standing.live_sph(),
        lines: lines.into_iter().map(|(_, id)| id.to_owned()).collect(),
        meets: Vec::new(),
        does_not_meet: Vec::new(),
        cannot_be_told: Vec::new(),
        geometry: piece.geometry.clone(),
    }
}

fn result_row(
    piece_id: &str,
    rule: &Rule,
    (at, test): (usize, &Test),
    standing: &Standing<'_>,
) -> ResultRow {
    let (found, about) = standing.found(test);
    let verdict = found.verdict(test.compare, test.value);
    let about = if about.is_empty() { about } else { format!(" ({about})") };
    let words = format!(
        "{} {}{about}; asked {}: {}",
        test.measure.name(),
        found_in_words(test.measure, found),
        test.asked(),
        verdict.words()
    );
    ResultRow {
        piece_id: piece_id.to_owned(),
        rule_id: rule.rule_id.clone(),
        test: at + 1,
        measure: test.measure.word(),
        compare: test.compare.word(),
        asked: test.value,
        found_least: found.least,
        found_most: found.most.is_finite().then_some(found.most),
        verdict,
        words,
    }
}

/// A figure in words: one, or the bounds between which it lies.
fn found_in_words(measure: Quantity, found: Found) -> String {
    let (least, most) = (measure.in_words(found.least), measure.in_words(found.most));
    if least == most {
        least
    } else if found.most.is_finite() {
        format!("between {least} and {most}")
    } else if found.least > 0.0 {
        format!("{least} or more")
    } else {
        "not known".to_owned()
    }
}

/// Defaults that crowns hang on.
fn of_crowns(site: &Site) -> Vec<crate::site::DefaultTaken> {
    let is_one = |taken: &&crate::site::DefaultTaken| {
        ["cover.growth", "cover.scar_growth", "cover.pattern"].contains(&taken.key.as_str())
    };
    site.cover.defaults.iter().filter(is_one).cloned().collect()
}

/// In one line, for every file.
const CAUTION: &str =
    "a test as it is written in the rule file, held against a plan: check with the scheme";

/// What people must know: common practice, no source.
const CAUTIONS: [BriefCaution; 3] = [
    BriefCaution::new(
        "who decides",
        "whether a scheme or grant takes any ground is for those who run it to say: rules change, have \
               exceptions, and ask for more than a map shows",
    ),
    BriefCaution::new(
        "no income",
        "a test that is met earns nothing by itself; plants die, burn and are browsed, and what is owed then is \
               for the scheme and licensed advisers to say",
    ),
    BriefCaution::new(
        "ground",
        "widening or joining blocks to meet a test may lead onto steep, wet or sacred ground, or under lines: \
               local rules and licensed people decide there",
    ),
];

/// How far the figures go.
const LIMITS: [&str; 6] = [
    "Areas and widths are of the map (planimetric), in the plan's own grid, never along the slope.",
    "A piece is planted ground that hangs together along edges: stands that are kept, and what lies beyond a track, a \
     stream or a setback, is not counted in, though a scheme may.",
    "Mean width is that of the rectangle with the same area and length of border; a scheme may measure otherwise.",
    "Heights are those that the stock file tells of each line on this kind of ground; on exposed, wet or poor ground \
     plants may stay below.",
    "Crowns are discs of `cover.growth` at the age asked, every planting taken at that age; what stands there today is \
     not counted. Hectares are squares of the map's grid of which half or more lies in the piece.",
    "Living stems are the plan's plants times the survival that the site and the stock expect; only a count on the \
     ground can tell.",
];
