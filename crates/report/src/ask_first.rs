//! Distances within which planters ask first, as a plan tells them and as they lie on the ground.

use geo::MultiPolygon;
use spatial::checks::within_words;
use spatial::pipeline::Fitted;

use crate::record::Record;

/// Whether a caution is a distance within which planters ask first.
pub(crate) fn is_ask_first(about: &str) -> bool {
    about.starts_with("within ") && about.contains(" m of ")
}

/// What planters ask first: what about, in how many hectares of map, and in which zones.
pub(crate) struct AskFirst {
    /// `within 20 m of power line`.
    pub(crate) about: String,
    /// Hectares of map.
    pub(crate) ha: f64,
    /// Zones concerned.
    pub(crate) zones: Vec<String>,
}

/// Everything that planters of a plan ask first.
pub(crate) fn of_plan(plan: &Record) -> Vec<AskFirst> {
    let rows = plan.rows("/cautions");
    let rows = rows.filter(|row| is_ask_first(plan.text(&format!("{row}/about"))));
    let row = |row: String| AskFirst {
        about: plan.text(&format!("{row}/about")).to_owned(),
        ha: plan.number(&format!("{row}/plan_area_ha")),
        zones: plan.texts(&format!("{row}/zones")).map(str::to_owned).collect(),
    };
    rows.map(row).collect()
}

/// Ground where planters ask first, named as the cautions of a plan name it.
pub(crate) fn ground(fitted: &Fitted) -> Vec<(String, MultiPolygon<f64>)> {
    let around = fitted.ready.keep_clear.iter().filter_map(|area| {
        let rule = &fitted.site.keep_clear[area.rule];
        let ground = area.ask.as_ref().filter(|ground| !ground.0.is_empty())?;
        Some((within_words(rule), ground.clone()))
    });
    around.collect()
}
