//! `[chances]`: how far things may be off.

use chance::Spreads;

use super::DefaultTaken;
use super::report::Report;
use super::rules::whole;
use super::section::Section;

/// How far things may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct ChanceRules {
    /// Draws.
    pub draws: usize,
    /// Standard deviations and chances.
    pub spreads: Spreads,
    /// Standard deviation between trees as a share of their mean, for lines whose nectar does not tell it.
    pub nectar_spread: f64,
    /// Share of the planted ground that may slip from which a plan counts as covered.
    pub covered_share: f64,
    /// Which of these a default was taken for.
    pub defaults: Vec<DefaultTaken>,
}

/// Reads `[chances]`.
pub(super) fn read(root: &Section<'_>, report: &mut Report<'_>) -> ChanceRules {
    let section = root.child("chances");
    let number = |name: &str| section.number(name).unwrap_or_default();
    ChanceRules {
        draws: whole(&section, "draws", report).unwrap_or_default() as usize,
        spreads: Spreads {
            survival_year: number("survival_year"),
            survival_line: number("survival_line"),
            survival_zone: number("survival_zone"),
            slope_deg: number("slope_deg"),
            slope_zone_deg: number("slope_zone_deg"),
            area: number("area_share"),
            short_chance: number("short_chance"),
            short_least: number("short_least"),
            winter_chance: number("winter_lost_chance"),
            bloom_days: number("bloom_days"),
            bloom_line_days: number("bloom_line_days"),
            growth: number("growth_share"),
            worth: number("worth_share"),
        },
        nectar_spread: number("nectar_spread"),
        covered_share: number("covered_share"),
        defaults: vec![],
    }
}

impl ChanceRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        let empty = toml_edit::Table::new();
        read(&Section::file(&empty), &mut Report::new("", std::path::Path::new("")))
    }
}
