//! What a check against rule sets says: its rows and figures.

use geo::MultiPolygon;
use serde::Serialize;

use super::compare::Verdict;
use super::rule::Rule;
use crate::checks::BriefCaution;
use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::site::DefaultTaken;

/// Planted ground held against rule sets.
#[derive(Debug, Clone, Serialize)]
pub struct EligibleCheck {
    /// `hillweave.eligible/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// Coordinate system of the pieces, as `EPSG:code` or WKT.
    pub crs: String,
    /// What goes with every row.
    pub caution: &'static str,
    /// What was read.
    pub inputs: Vec<InputRecord>,
    /// Every default used that has to do with crowns.
    pub defaults: Vec<DefaultTaken>,
    /// How plants stand: `square`, `triangular` or `random`.
    pub pattern: &'static str,
    /// The rule sets.
    pub rules: Vec<Rule>,
    /// Pieces of planted ground, the largest first.
    pub pieces: Vec<PieceRow>,
    /// Each test on each piece.
    pub results: Vec<ResultRow>,
    /// What people must know.
    pub cautions: Vec<BriefCaution>,
    /// How far the figures go.
    pub limits: Vec<&'static str>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

/// Planted ground that hangs together.
#[derive(Debug, Clone, Serialize)]
pub struct PieceRow {
    /// `P001`, …
    pub piece_id: String,
    /// Zones that it is made of, in order.
    pub zones: Vec<String>,
    /// Map area of its outline, hectares.
    pub plan_area_ha: f64,
    /// Of that, planted: less where zones are planted in part.
    pub planted_plan_ha: f64,
    /// Width of the rectangle with the same area and length of border, metres of map.
    pub mean_width_m: f64,
    /// Stems expected to live on a planted hectare of map.
    pub live_sph: f64,
    /// Lines that are planted there, by id, the one with the most ground first.
    pub lines: Vec<String>,
    /// Rule sets all tests of which it meets.
    pub meets: Vec<String>,
    /// Rule sets some test of which it does not meet.
    pub does_not_meet: Vec<String>,
    /// The others.
    pub cannot_be_told: Vec<String>,
    /// Outline, in the plan's coordinate system.
    #[serde(skip)]
    pub geometry: MultiPolygon<f64>,
}

/// One test of one rule set on one piece.
#[derive(Debug, Clone, Serialize)]
pub struct ResultRow {
    /// The piece.
    pub piece_id: String,
    /// The rule set.
    pub rule_id: String,
    /// Position of the test in the rule set, from 1.
    pub test: usize,
    /// What is measured, as rule files name it.
    pub measure: &'static str,
    /// How it is held against `asked`, as rule files name it.
    pub compare: &'static str,
    /// What is asked, in the unit in the name of the measure.
    pub asked: f64,
    /// The least that may be found; the figure itself where it is known.
    pub found_least: f64,
    /// The most that may be found; `null` where nothing bounds it.
    pub found_most: Option<f64>,
    /// What comes of it.
    pub verdict: Verdict,
    /// The same in a sentence.
    pub words: String,
}
