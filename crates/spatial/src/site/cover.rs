//! `[cover]`: what counts as protected, by when, and what mending it costs.

use cover::{AgeCurve, Pattern, PoleSite, StandCurve};

use super::DefaultTaken;
use super::fault::Fault;
use super::report::Report;
use super::rules::whole;
use super::section::Section;
use crate::units::Metres;

/// Words for the measures of protective cover.
pub(super) const MEASURES: &[&str] = &["crown", "roots", "stand_1993", "stand_1995"];
/// Words for patterns in which plants stand.
pub(super) const PATTERNS: &[&str] = &["square", "triangular", "random"];
/// Words for the sites of poles.
pub(super) const POLE_SITES: &[&str] = &["worst", "good"];

/// What counts as protected, by when, and what mending it costs.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverRules {
    /// What protective cover is reckoned by.
    pub measure: Measure,
    /// Least share of ground protected on ground that may slip, 0 to 1.
    pub target: f64,
    /// Years after the first planting winter by which it must be.
    pub by_years: i32,
    /// Slope above which ground may slip where no erosion terrain says, degrees.
    pub steep_from_deg: f64,
    /// How plants stand; `None`: as they are set out.
    pub pattern: Option<Pattern>,
    /// Radius of a crown by age, metres of map.
    pub crown_radius_m: AgeCurve,
    /// Radius within which most roots lie, by age, metres of map.
    pub root_radius_m: AgeCurve,
    /// Share of those radii that plants reach on old slip scars.
    pub scar_growth: f64,
    /// Poles a hectare.
    pub pole_sph: f64,
    /// What a planted pole costs, New Zealand dollars.
    pub pole_nzd: f64,
    /// Growth of a pole's stem at breast height, metres a year.
    pub pole_diameter_m_per_year: f64,
    /// How well poles grow and root.
    pub pole_site: PoleSite,
    /// What a hectare left to regenerate costs, New Zealand dollars.
    pub regenerate_nzd_per_ha: f64,
    /// Farthest from a kept stand that ground regenerates.
    pub regenerate_within: Metres,
    /// Years until seedlings stand on ground that is left.
    pub regenerate_wait_years: i32,
    /// Winters after the first planting in which gaps are filled.
    pub infill_after_years: i32,
    /// Pieces smaller than this are told in one sum, square metres.
    pub least_piece_m2: f64,
    /// Which of these a default was taken for.
    pub defaults: Vec<DefaultTaken>,
}

/// What protective cover is reckoned by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Share of the ground under crowns.
    Crown,
    /// Share of the ground that roots bind.
    Roots,
    /// Protection of a stand by age alone.
    Stand(StandCurve),
}

impl Measure {
    /// Every measure.
    pub const ALL: [Self; 4] = [
        Self::Crown,
        Self::Roots,
        Self::Stand(StandCurve::Bergin1993),
        Self::Stand(StandCurve::Bergin1995),
    ];

    /// Its word in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        let at = Self::ALL.iter().position(|one| *one == self).unwrap_or_default();
        MEASURES[at]
    }
}

/// Age, radius of the crown and of the roots in the years after planting, where the site does not say.
/// Crowns: common practice, no source. Roots: most within 0.5 m of the stump at six years (Marden,
/// Lambie & Phillips 2020), and most of the length of young pioneers within 1 m of the stem (root system
/// attributes of 12 juvenile indigenous species, NZ J. Forestry Science 2018); when older, no source.
const GROWTH: [(f64, f64, f64); 6] = [
    (0.0, 0.10, 0.05),
    (2.0, 0.35, 0.20),
    (6.0, 0.95, 0.50),
    (10.0, 1.40, 0.80),
    (15.0, 1.75, 1.00),
    (20.0, 1.90, 1.00),
];

/// Reads `[cover]`.
pub(super) fn read(root: &Section<'_>, report: &mut Report<'_>) -> CoverRules {
    let section = root.child("cover");
    let number = |name: &str| section.number(name).unwrap_or_default();
    let mut years = |name: &str| whole(&section, name, report).unwrap_or_default() as i32;
    let by_years = years("by_years");
    let (regenerate_wait_years, infill_after_years) =
        (years("regenerate_wait_years"), years("infill_after_years"));
    let (crown_radius_m, root_radius_m) = growth(&section, report);
    let word = section.text("measure").unwrap_or_default();
    let measure = Measure::ALL.into_iter().find(|measure| measure.word() == word);
    let named = |pattern: String| Pattern::ALL.into_iter().find(|one| one.word() == pattern);
    CoverRules {
        measure: measure.unwrap_or(Measure::Crown),
        target: number("target"),
        by_years,
        steep_from_deg: number("steep_from_deg"),
        pattern: section.text("pattern").and_then(named),
        crown_radius_m,
        root_radius_m,
        scar_growth: number("scar_growth"),
        pole_sph: number("pole_sph"),
        pole_nzd: number("pole_nzd"),
        pole_diameter_m_per_year: number("pole_diameter_m_per_year"),
        pole_site: match section.text("pole_site").as_deref() {
            Some("good") => PoleSite::Good,
            _ => PoleSite::Worst,
        },
        regenerate_nzd_per_ha: number("regenerate_nzd_per_ha"),
        regenerate_within: Metres(number("regenerate_within_m")),
        regenerate_wait_years,
        infill_after_years,
        least_piece_m2: number("least_piece_m2"),
        defaults: vec![],
    }
}

impl CoverRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        let empty = toml_edit::Table::new();
        read(&Section::file(&empty), &mut Report::new("", std::path::Path::new("")))
    }
}

/// Reads `[[cover.growth]]`: radii of crowns and of roots by age.
fn growth(section: &Section<'_>, report: &mut Report<'_>) -> (AgeCurve, AgeCurve) {
    let rows: Vec<(f64, f64, f64)> = section
        .children("growth")
        .iter()
        .filter_map(|row| {
            let radius = |name: &str| row.number(name);
            Some((radius("age_years")?, radius("crown_radius_m")?, radius("root_radius_m")?))
        })
        .collect();
    let rows = if rows.is_empty() { GROWTH.to_vec() } else { rows };
    let mut curve = |name: &str, radius: fn(&(f64, f64, f64)) -> f64| {
        let nodes: Vec<(f64, f64)> = rows.iter().map(|row| (row.0, radius(row))).collect();
        AgeCurve::new(&nodes).unwrap_or_else(|error| {
            let fault = Fault::new(
                format!("rising ages, and a `{name}` that never falls"),
                "put the rows in order of age; plants do not shrink",
            );
            let (path, span) = (section.path_of("growth"), section.span_of("growth"));
            report.error(&path, span, fault.found(error.to_string()));
            AgeCurve::zero()
        })
    };
    let crown = curve("crown_radius_m", |row| row.1);
    (crown, curve("root_radius_m", |row| row.2))
}
