//! `[seed]`: how local seed is found, chosen and raised.

use super::fault::Fault;
use super::kind::nearest;
use super::report::Report;
use super::rules::whole;
use super::section::Section;
use super::{CategorySource, CoverClass, DefaultTaken, Treatment};
use crate::units::Metres;

/// Traits that trees are chosen for, as files name them.
pub(super) const TRAITS: &[&str] = &[
    "dha",
    "sugar",
    "vigour",
    "form",
    "flower_number",
    "flower_quality",
    "seed_capsules",
    "disease",
];

/// How local seed is found, chosen and raised.
#[derive(Debug, Clone, PartialEq)]
pub struct SeedRules {
    /// Kept cover classes that are sampled; empty: the only kept one.
    pub cover: Vec<String>,
    /// Least distance of map between sampled trees, and between mothers.
    pub apart: Metres,
    /// Trees to sample; `None`: as many as the standard error takes.
    pub trees: Option<u32>,
    /// Wanted standard error of the mean, as a share of it.
    pub standard_error: f64,
    /// Coefficient of variation between trees, before any was measured.
    pub spread: f64,
    /// Height of the bands that part stands for sampling.
    pub altitude_band: Metres,
    /// Slope above which nobody is sent, degrees; `None`: all slopes.
    pub steepest_deg: Option<f64>,
    /// Repeatability where the sheet cannot tell it, 0 to 1.
    pub repeatability: f64,
    /// Fewest mothers.
    pub mothers_least: u32,
    /// Least status number.
    pub status_least: f64,
    /// Most mothers of one stand; `None`: not limited.
    pub stand_most: Option<u32>,
    /// Fewest mothers of each sampled stand, as far as it has them.
    pub stand_least: u32,
    /// Lowest vigour of a mother, 1 to 5.
    pub vigour_least: u8,
    /// Highest disease of a mother, 0 to 5.
    pub disease_most: u8,
    /// Normalised DHA from which a tree counts as outstanding, mg/kg at 80 °Brix.
    pub outstanding_mg_per_kg: f64,
    /// Share of seeds that are alive.
    pub viability: f64,
    /// Share of live seeds that become seedlings.
    pub emergence: f64,
    /// Share of seedlings that the nursery throws out.
    pub cull: f64,
    /// Seeds in a capsule, live or not.
    pub capsule_seeds: f64,
    /// Largest share of a tree's capsules that is taken.
    pub harvest: f64,
    /// Capsules of a mother that nobody counted; `None`: not known.
    pub capsules: Option<u32>,
    /// Months from sowing to planting.
    pub nursery_months: u32,
    /// How traits become one index.
    pub index_by: IndexBy,
    /// What mothers are chosen for, each trait once.
    pub traits: Vec<TraitRule>,
    /// Which of these a default was taken for.
    pub defaults: Vec<DefaultTaken>,
}

/// How much one trait counts.
#[derive(Debug, Clone, PartialEq)]
pub struct TraitRule {
    /// One of the traits of the table of keys.
    pub name: String,
    /// For one standard deviation, beside the others: its worth, or the gain wanted in it.
    pub worth: f64,
    /// Share of its variance within a stand that is handed down, over 0 to 1.
    pub heritability: f64,
}

/// How traits become one index.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum IndexBy {
    /// The greatest worth (Smith 1936, Hazel 1943).
    Weights,
    /// Gains in the proportions wanted (Pesek & Baker 1969).
    Gains,
}

/// Reads `[seed]`.
pub(super) fn read(
    root: &Section<'_>,
    cover: Option<&CategorySource<CoverClass>>,
    report: &mut Report<'_>,
) -> SeedRules {
    let section = root.child("seed");
    let number = |name: &str| section.number(name).unwrap_or_default();
    let mut count = |name: &str| whole(&section, name, report).map(|count| count as u32);
    let mothers_least = count("mothers_least").unwrap_or_default();
    let (trees, capsules) = (count("trees"), count("capsules"));
    let (stand_most, stand_least) = (count("stand_most"), count("stand_least").unwrap_or_default());
    let (vigour, disease) = (count("vigour_least"), count("disease_most"));
    let nursery_months = count("nursery_months").unwrap_or_default();
    if let Some(most) = stand_most.filter(|most| *most < stand_least) {
        let expected = format!("`stand_least`, {stand_least}, or more");
        let fault = Fault::new(expected, "raise it, or lower `stand_least`");
        report.error(
            &section.path_of("stand_most"),
            section.span_of("stand_most"),
            fault.found(most.to_string()),
        );
    }
    kept_names(&section, "cover", cover, report);
    SeedRules {
        cover: section.words("cover"),
        apart: Metres(number("apart_m")),
        trees,
        standard_error: number("standard_error"),
        spread: number("spread"),
        altitude_band: Metres(number("altitude_band_m")),
        steepest_deg: section.number("steepest_deg"),
        repeatability: number("repeatability"),
        mothers_least,
        status_least: section.number("status_least").unwrap_or(0.9 * f64::from(mothers_least)),
        stand_most,
        stand_least,
        vigour_least: vigour.unwrap_or_default() as u8,
        disease_most: disease.unwrap_or_default() as u8,
        outstanding_mg_per_kg: number("outstanding_mg_per_kg"),
        viability: number("viability"),
        emergence: number("emergence"),
        cull: number("cull"),
        capsule_seeds: number("capsule_seeds"),
        harvest: number("harvest"),
        capsules,
        nursery_months,
        index_by: match section.text("index_by").as_deref() {
            Some("gains") => IndexBy::Gains,
            _ => IndexBy::Weights,
        },
        traits: traits(&section, report),
        defaults: vec![],
    }
}

impl SeedRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        let empty = toml_edit::Table::new();
        read(&Section::file(&empty), None, &mut Report::new("", std::path::Path::new("")))
    }
}

/// Doubts names of a list that no kept class has.
pub(super) fn kept_names(
    section: &Section<'_>,
    key: &str,
    cover: Option<&CategorySource<CoverClass>>,
    report: &mut Report<'_>,
) {
    let rows = cover.map_or(&[][..], |source| &source.table[..]);
    let kept = rows.iter().filter(|row| row.class.treatment == Treatment::Keep);
    let kept: Vec<&str> = kept.map(|row| row.class.name.as_str()).collect();
    for name in section.words(key).iter().filter(|name| !kept.contains(&name.as_str())) {
        let remedy = match nearest(name, kept.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => "name a class with treatment = \"keep\" in [[layers.cover.class]]".to_owned(),
        };
        let expected = match &kept[..] {
            [] => "a cover layer with a kept class".to_owned(),
            kept => format!("kept cover classes: {}", kept.join(", ")),
        };
        let fault = Fault::new(expected, remedy).found(format!("\"{name}\""));
        report.error(&section.path_of(key), section.span_of(key), fault);
    }
}

/// Reads `[[seed.trait]]`; nectar DHA alone where there is none.
fn traits(section: &Section<'_>, report: &mut Report<'_>) -> Vec<TraitRule> {
    let mut traits: Vec<TraitRule> = Vec::new();
    for table in section.children("trait") {
        let (Some(name), Some(worth)) = (table.text("name"), table.number("worth")) else {
            continue;
        };
        if traits.iter().any(|other| other.name == name) {
            let fault = Fault::new("each trait once", "take one of the two out");
            report.error(&table.path_of("name"), table.span_of("name"), fault);
            continue;
        }
        let heritability = table.number("heritability").unwrap_or_default();
        traits.push(TraitRule { name, worth, heritability });
    }
    if !traits.is_empty() && !traits.iter().any(|rule| rule.worth.abs() > 0.0) {
        let fault = Fault::new("a worth other than 0", "say what is worth something")
            .found("nothing but 0");
        report.error(&section.path_of("trait"), section.span_of("trait"), fault);
    }
    if traits.is_empty() {
        // As the table of keys has it.
        let heritability =
            super::keys::default_number("seed.trait[].heritability").unwrap_or_default();
        traits.push(TraitRule { name: TRAITS[0].to_owned(), worth: 1.0, heritability });
    }
    traits
}
