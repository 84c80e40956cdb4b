//! `[money]`: what the work costs, and the tables that say what it may bring.

use std::path::{Path, PathBuf};

use super::DefaultTaken;
use super::fault::Fault;
use super::report::Report;
use super::rules::whole;
use super::section::Section;

/// Whose plants go where others died.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlankingPlants {
    /// What the order has beyond the plants in the ground; more are bought where that is too few.
    Order,
    /// All are bought anew.
    New,
}

/// What the work costs, and the tables that say what it may bring. NZ$ of today.
#[derive(Debug, Clone, PartialEq)]
pub struct MoneyRules {
    /// Preparing a hectare of map for planting: spraying, clearing lines.
    pub preparation_nzd_per_ha: f64,
    /// Releasing a hectare of map from weeds, once.
    pub release_nzd_per_ha: f64,
    /// How often that is done: each year once, from the year of planting on.
    pub release_times: usize,
    /// Keeping pests down on a hectare of map for a year.
    pub pests_nzd_per_ha_year: f64,
    /// For how many years, from the year of planting on.
    pub pest_years: usize,
    /// A metre of new fence.
    pub fencing_nzd_per_m: f64,
    /// Metres of new fence; `None`: nobody said, and none is counted.
    pub fence_m: Option<f64>,
    /// Whose plants go where others died.
    pub blanking_plants: BlankingPlants,
    /// Added to every other cost, as a share of it.
    pub overhead_share: f64,
    /// How far costs may lie off, either way, as a share of them.
    pub cost_spread: f64,
    /// Discount rate, a share a year; real, as costs are of today.
    pub discount_rate: f64,
    /// Between which rates sensitivity looks, lower first.
    pub discount_rates: [f64; 2],
    /// Years that are looked at after the first.
    pub years: usize,
    /// Years by which income may come late, for sensitivity.
    pub income_late_years: usize,
    /// Table of income; `None`: none is assumed.
    pub income: Option<PathBuf>,
    /// Table of carbon by age; `None`: none is assumed.
    pub carbon: Option<PathBuf>,
    /// Low, middle and high price of a tonne of carbon dioxide.
    pub carbon_price_nzd: Option<[f64; 3]>,
    /// Which of these a default was taken for.
    pub defaults: Vec<DefaultTaken>,
}

/// Reads `[money]`.
pub(super) fn read(root: &Section<'_>, folder: &Path, report: &mut Report<'_>) -> MoneyRules {
    let section = root.child("money");
    let number = |name: &str| section.number(name).unwrap_or_default();
    let mut count = |name: &str| whole(&section, name, report).unwrap_or_default() as usize;
    let (release_times, pest_years) = (count("release_times"), count("pest_years"));
    let (years, income_late_years) = (count("years"), count("income_late_years"));
    let rules = MoneyRules {
        preparation_nzd_per_ha: number("preparation_nzd_per_ha"),
        release_nzd_per_ha: number("release_nzd_per_ha"),
        release_times,
        pests_nzd_per_ha_year: number("pests_nzd_per_ha_year"),
        pest_years,
        fencing_nzd_per_m: number("fencing_nzd_per_m"),
        fence_m: section.number("fence_m"),
        blanking_plants: match section.text("blanking_plants").as_deref() {
            Some("new") => BlankingPlants::New,
            _ => BlankingPlants::Order,
        },
        overhead_share: number("overhead_share"),
        cost_spread: number("cost_spread"),
        discount_rate: number("discount_rate"),
        discount_rates: section.numbers("discount_rates").unwrap_or_default(),
        years,
        income_late_years,
        income: section.file_in(folder, "income"),
        carbon: section.file_in(folder, "carbon"),
        carbon_price_nzd: section.numbers("carbon_price_nzd"),
        defaults: vec![],
    };
    together(&rules, &section, report);
    rules
}

/// What several keys say together.
fn together(rules: &MoneyRules, section: &Section<'_>, report: &mut Report<'_>) {
    let mut error =
        |name: &str, fault| report.error(&section.path_of(name), section.span_of(name), fault);
    match (&rules.carbon, rules.carbon_price_nzd) {
        (Some(_), None) if section.get("carbon_price_nzd").is_none() => {
            let fault = Fault::new("`carbon_price_nzd` beside it", "say what a tonne may fetch");
            error("carbon", fault.found("a table of carbon without a price"));
        }
        (None, Some(_)) if section.get("carbon").is_none() => {
            let fault = Fault::new("`carbon` beside it", "name the table, or take the price out");
            error("carbon_price_nzd", fault.found("a price without a table of carbon"));
        }
        _ => {}
    }
    if let Some([low, middle, high]) = rules.carbon_price_nzd
        && !(low <= middle && middle <= high)
    {
        let fault =
            Fault::new("low, middle and high, none below the one before", "set them in order");
        error("carbon_price_nzd", fault);
    }
    let [least, most] = rules.discount_rates;
    // Rates that are faulty by themselves are told already, and read as none.
    let is_sound = section.numbers::<2>("discount_rates").is_some()
        && section.number("discount_rate").is_some();
    if is_sound && !(least..=most).contains(&rules.discount_rate) {
        let remedy = "mend the one or the others";
        if section.get("discount_rate").is_some() {
            let expected = format!("a rate between those of `discount_rates`, {least} and {most}");
            let found = rules.discount_rate.to_string();
            error("discount_rate", Fault::new(expected, remedy).found(found));
        } else {
            let expected =
                format!("two rates with `discount_rate`, {}, between them", rules.discount_rate);
            error("discount_rates", Fault::new(expected, remedy));
        }
    }
}

impl MoneyRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        let (nothing, folder) = (toml_edit::Table::new(), Path::new(""));
        read(&Section::file(&nothing), folder, &mut Report::new("", folder))
    }
}
