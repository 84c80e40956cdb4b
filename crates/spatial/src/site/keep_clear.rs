//! The rules that keep ground clear.

use std::collections::BTreeMap;
use std::path::Path;

use super::KeepClearRule;
use super::fault::Fault;
use super::layers::vector;
use super::report::Report;
use super::section::Section;
use crate::units::Metres;

/// Reads every `[[keep_clear]]` and reports what they say against each other.
pub(super) fn read(
    root: &Section<'_>,
    folder: &Path,
    report: &mut Report<'_>,
) -> Vec<KeepClearRule> {
    let rules = root.children("keep_clear");
    let given = root.get("keep_clear");
    if given.is_none_or(|item| item.as_array().is_some_and(toml_edit::Array::is_empty)) {
        report.warning("keep_clear", root.span(), none_given());
    }
    report_names(&rules, report);
    rules.iter().map(|rule| read_rule(rule, folder, report)).collect()
}

fn read_rule(rule: &Section<'_>, folder: &Path, report: &mut Report<'_>) -> KeepClearRule {
    let distance = rule.number("distance_m");
    let ask_within = rule.number("ask_within_m");
    if let (Some(distance), Some(ask)) = (distance, ask_within)
        && ask <= distance
    {
        let expected = format!("more than `distance_m`, {distance}");
        let fault = Fault::new(expected, "raise it, or take it out: it has no effect");
        report.warning(&rule.path_of("ask_within_m"), rule.span_of("ask_within_m"), fault);
    }
    let text = |name: &str| rule.text(name).unwrap_or_default();
    KeepClearRule {
        name: text("name"),
        source: vector(rule, folder),
        distance: Metres(distance.unwrap_or_default()),
        width_field: rule.text("width_field"),
        reason: text("reason"),
        authority: text("authority"),
        date: text("date"),
        ask_within: ask_within.map(Metres),
        caution: rule.text("caution"),
    }
}

fn none_given() -> Fault {
    Fault::new(
        "rules for streams, power lines, tracks, known archaeological sites, neighbours",
        "ask the council and the line company what applies, and add a [[keep_clear]] for each",
    )
    .found("no rule: no ground is kept clear")
}

fn report_names(rules: &[Section<'_>], report: &mut Report<'_>) {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for rule in rules {
        let (Some(name), span) = (rule.text("name"), rule.span_of("name")) else { continue };
        if let Some(before) = first.get(&name) {
            let line = report.line(*before);
            let expected = format!("each name once; this one stands at line {line}");
            let fault = Fault::new(expected, "give this rule another name");
            report.error(&rule.path_of("name"), span, fault);
        } else {
            first.insert(name, span.start);
        }
    }
}
