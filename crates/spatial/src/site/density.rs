//! How many plants a hectare.

use std::collections::BTreeMap;

use super::fault::Fault;
use super::kind::nearest;
use super::report::Report;
use super::section::Section;
use super::{
    CategorySource, CoverClass, DensityRule, DensityRules, Pattern, Purpose, RuleGround, Treatment,
};
use crate::layout::density_at_spacing;
use crate::units::{AreaBasis, Metres, StemsPerHectare};

/// Plants a hectare when neither a density nor a spacing is given: 3 m square.
/// Source: common forestry spacing tables.
const USUAL_SPH: &str = "1111";

/// Greatest disagreement between a density and a spacing given beside it, as a share of the
/// greater. Tables and practice round 1,111 to 1,100, which is 1 %.
const DISAGREEMENT: f64 = 0.01;

/// Reads `[density]` and reports what its keys say against each other and against the cover.
pub(super) fn read(
    root: &Section<'_>,
    cover: Option<&CategorySource<CoverClass>>,
    report: &mut Report<'_>,
) -> DensityRules {
    let section = root.child("density");
    let basis = match section.text("basis").as_deref() {
        Some("plan") => AreaBasis::Plan,
        _ => AreaBasis::Ground,
    };
    let pattern = match section.text("pattern").as_deref() {
        Some("triangular") => Pattern::Triangular,
        _ => Pattern::Square,
    };
    let usual = usual(&section, pattern, report);
    let purpose = purpose(&section).unwrap_or(Purpose::Honey);
    let mut rules = DensityRules { basis, pattern, usual, purpose, rules: vec![] };
    read_rules(&section, cover, &mut rules, report);
    rules
}

fn usual(section: &Section<'_>, pattern: Pattern, report: &mut Report<'_>) -> StemsPerHectare {
    let given = density(section, ["usual_sph", "usual_spacing_m"], pattern, report);
    if section.get("usual_sph").is_none() && section.get("usual_spacing_m").is_none() {
        report.take_default(&section.path_of("usual_sph"), USUAL_SPH);
    }
    given.unwrap_or(StemsPerHectare(USUAL_SPH.parse().unwrap_or_default()))
}

/// A density by one key, or by a spacing under another; given both ways, they must agree.
fn density(
    section: &Section<'_>,
    [sph, spacing_m]: [&str; 2],
    pattern: Pattern,
    report: &mut Report<'_>,
) -> Option<StemsPerHectare> {
    let spacing = section.number(spacing_m).map(Metres);
    let of_spacing = spacing.map(|spacing| density_at_spacing(pattern, spacing));
    let given = section.number(sph).map(StemsPerHectare);
    if let (Some(StemsPerHectare(given)), Some(StemsPerHectare(of_spacing))) = (given, of_spacing)
        && (given - of_spacing).abs() > DISAGREEMENT * given.max(of_spacing) * (1.0 + 1e-9)
    {
        let expected =
            format!("within 1 % of `{sph}`, {given}; this spacing makes {of_spacing:.0}");
        let remedy = format!("take out the one that is wrong; `{sph}` is used");
        let fault = Fault::new(expected, remedy);
        report.warning(&section.path_of(spacing_m), section.span_of(spacing_m), fault);
    }
    given.or(of_spacing)
}

fn read_rules(
    section: &Section<'_>,
    cover: Option<&CategorySource<CoverClass>>,
    rules: &mut DensityRules,
    report: &mut Report<'_>,
) {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for rule in section.children("rule").iter().filter(|rule| rule.is_given()) {
        report_subject(rule, report);
        let density = density(rule, ["sph", "spacing_m"], rules.pattern, report);
        if density.is_none() && rule.get("sph").or(rule.get("spacing_m")).is_none() {
            let fault = Fault::new("plants a hectare", "add `sph = 1600`, or `spacing_m = 2.5`");
            report.error(&rule.path_of("sph"), rule.span(), fault.found("nothing"));
        }
        let line = rule.text("line");
        let of_line = line.as_ref().map_or(String::new(), |line| format!(" of {line}"));
        let ground = if let Some(name) = rule.text("cover") {
            report_cover(rule, &name, cover, report);
            let named = std::iter::once(format!("cover {name}{of_line}"));
            report_repeated(rule, "cover", named, &mut first, report);
            RuleGround::Cover(name)
        } else if let Some(letters) = rule.text("slope_group") {
            let groups = letters.chars().map(|letter| format!("slope group {letter}{of_line}"));
            report_repeated(rule, "slope_group", groups, &mut first, report);
            RuleGround::SlopeGroups(letters)
        } else {
            let named = line.iter().map(|line| format!("line {line}"));
            report_repeated(rule, "line", named, &mut first, report);
            RuleGround::Any
        };
        let purpose = purpose(rule).unwrap_or(rules.purpose);
        let density = density.unwrap_or_default();
        rules.rules.push(DensityRule { ground, line, density, purpose });
    }
}

fn purpose(section: &Section<'_>) -> Option<Purpose> {
    let word = section.text("purpose")?;
    Purpose::ALL.into_iter().find(|purpose| purpose.key() == word)
}

/// A rule is for slope groups or a cover class, for a line, or for a line on one of those.
fn report_subject(rule: &Section<'_>, report: &mut Report<'_>) {
    let given = |name| rule.get(name).is_some();
    let (found, remedy) = match (given("slope_group"), given("cover"), given("line")) {
        (true, true, _) => (
            "both `slope_group` and `cover`",
            "keep one of the two; write two rules when both matter",
        ),
        (false, false, false) => (
            "none of `slope_group`, `cover` and `line`",
            "name one; for all ground and every line there is `usual_sph`",
        ),
        _ => return,
    };
    let expected = "`slope_group` or `cover`, which says where the rule holds, or `line`";
    report.error(&rule.path_of(""), rule.span(), Fault::new(expected, remedy).found(found));
}

fn report_repeated(
    rule: &Section<'_>,
    key: &str,
    subjects: impl Iterator<Item = String>,
    first: &mut BTreeMap<String, usize>,
    report: &mut Report<'_>,
) {
    let span = rule.span_of(key);
    for subject in subjects {
        if let Some(before) = first.get(&subject) {
            let line = report.line(*before);
            let expected = format!("one density for {subject}; it has one at line {line}");
            let fault = Fault::new(expected, "keep one of the two rules");
            report.error(&rule.path_of(key), span.clone(), fault);
        } else {
            first.insert(subject, span.start);
        }
    }
}

fn report_cover(
    rule: &Section<'_>,
    name: &str,
    cover: Option<&CategorySource<CoverClass>>,
    report: &mut Report<'_>,
) {
    let classes = cover.map_or(&[][..], |cover| &cover.table);
    let named = classes.iter().map(|row| &row.class).find(|class| class.name == name);
    let Some(class) = named else {
        let fault = unknown_cover(name, classes.iter().map(|row| row.class.name.as_str()));
        report.error(&rule.path_of("cover"), rule.span_of("cover"), fault);
        return;
    };
    if matches!(class.treatment, Treatment::Keep | Treatment::Never) {
        let fault = Fault::new(
            "a cover class that is planted",
            "take the rule out, or change the `treatment` of the class: it has no effect",
        );
        report.warning(&rule.path_of("cover"), rule.span_of("cover"), fault);
    }
}

fn unknown_cover<'n>(name: &str, names: impl Iterator<Item = &'n str> + Clone) -> Fault {
    let remedy = match nearest(name, names.clone()) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => "name a class of [[layers.cover.class]], or take the rule out".to_owned(),
    };
    let mut listed: Vec<String> = names.map(|name| format!("\"{name}\"")).collect();
    listed.dedup();
    let expected = if listed.is_empty() {
        "a cover class; [layers.cover] has none".to_owned()
    } else {
        format!("a cover class: one of {}", listed.join(", "))
    };
    Fault::new(expected, remedy)
}
