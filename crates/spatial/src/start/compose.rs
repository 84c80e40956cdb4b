//! `site.toml` as a person would have written it, from answers.

use std::fmt::Write as _;

use toml_edit::Value;

use super::folder::is_plain_name;
use super::{Answers, CoverAnswer, KeepClearAnswer, Role, Use};
use crate::problem::Problem;
use crate::site::{DrainageClass, Treatment};

/// Name of the stock file that is written where no file of the folder is one.
pub(super) const STOCK: &str = "stock.toml";

/// The text of a site file.
///
/// # Errors
/// Everything that is not answered yet, or answered twice.
pub fn compose(answers: &Answers) -> Result<String, Vec<Problem>> {
    let problems = missing(answers);
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut text = Text(format!(
        "# {}: what its plan is made from. File names are taken from this folder. Lengths are metres.\n\
         # Every further key, with its default, is in the starter that `hillweave new DIR` writes;\n\
         # `hillweave check` lists each default that is used.\n\n[site]\n",
        one_line(&answers.name)
    ));
    text.key("name", answers.name.trim());
    text.optional("crs", answers.crs.as_deref());
    text.optional("cell_m", answers.cell_m.map(plain));
    for role in Role::ALL {
        for one in answers.uses.iter().filter(|one| one.role == role) {
            text.layer(one, answers);
        }
    }
    text.keep_clear(answers);
    let stock = answers.uses.iter().find(|one| one.role == Role::Stock);
    text.head("stock", "What can be planted.");
    text.key("file", stock.map_or(STOCK, |one| &one.file));
    Ok(text.0)
}

/// What keeps answers from being a site.
fn missing(answers: &Answers) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut say = |item: &str, found: &str, expected: &str, remedy: &str| {
        problems.push(Problem::error(item).found(found).expected(expected).remedy(remedy));
    };
    if answers.name.trim().is_empty() {
        say("name", "nothing", "the name of the property, as it stands on the plan", "type it");
    }
    for role in Role::ALL {
        let count = answers.uses.iter().filter(|one| one.role == role).count();
        if count == 0 && matches!(role, Role::Boundary | Role::Elevation) {
            say(role.title(), "no layer", "one layer", "add its file, or say which layer it is");
        } else if count > 1 && !role.may_repeat() {
            let found = format!("{count} layers");
            say(
                role.title(),
                &found,
                "one layer",
                "keep one, and say that the others are not used",
            );
        }
    }
    let has = |role: Role| answers.uses.iter().any(|one| one.role == role);
    if has(Role::Climate) && answers.station_elevation_m.is_none() {
        say(
            "climate normals",
            "no height of the station",
            "metres above sea level",
            "type it, or do not use the table",
        );
    }
    for one in &answers.uses {
        if !is_plain_name(&one.file) {
            say(
                "file",
                &format!("`{}`", one.file),
                "the name of a file in the folder",
                "put the file into the folder",
            );
        }
        if one.role == Role::KeepClear && one.keep_clear.is_none() {
            let item = format!("keep clear of {}", one.layer.as_deref().unwrap_or(&one.file));
            say(&item, "no distance", "a distance, and who says so", "fill it in");
        }
    }
    for class in answers.cover_classes.iter().filter(|_| has(Role::Cover)) {
        let item = format!("cover `{}`", class.code);
        if class.treatment.is_none() {
            say(
                &item,
                "nothing said",
                "plant, infill, keep or never",
                "say what is to be done with it",
            );
        } else if class.treatment == Some(Treatment::Infill) && class.gap_share.is_none() {
            say(
                &item,
                "no share of gaps",
                "a share from 0 to 1",
                "say how much of it is open for planting",
            );
        }
    }
    for class in
        answers.drainage_classes.iter().filter(|class| has(Role::Drainage) && class.class.is_none())
    {
        let item = format!("drainage `{}`", class.code);
        say(&item, "nothing said", "a class from very poor to well", "say which class it is");
    }
    problems
}

/// A site file in the making.
struct Text(String);

impl Text {
    fn head(&mut self, table: &str, words: &str) {
        let _ = write!(self.0, "\n# {words}\n[{table}]\n");
    }

    fn key(&mut self, name: &str, value: impl Into<Value>) {
        let _ = writeln!(self.0, "{name} = {}", value.into());
    }

    fn optional(&mut self, name: &str, value: Option<impl Into<Value>>) {
        if let Some(value) = value {
            self.key(name, value);
        }
    }

    fn layer(&mut self, one: &Use, answers: &Answers) {
        let (table, words) = match one.role {
            Role::Boundary => ("layers.boundary", "Where the property ends."),
            Role::Elevation => ("layers.elevation", "Height of the ground."),
            Role::Cover => ("layers.cover", "What grows there now, and what is done with it."),
            Role::Drainage => ("layers.drainage", "How soil drains."),
            Role::Streams => {
                ("layers.streams", "Streams, from which height above drainage is reckoned.")
            }
            Role::Tracks => ("layers.tracks", "Tracks on which plants are brought."),
            Role::Breaks => ("layers.breaks", "What no zone crosses."),
            Role::Climate => (
                "layers.climate",
                "Monthly normals of a station, moved up the hill by the lapse rate.",
            ),
            Role::KeepClear | Role::Stock | Role::None => return,
        };
        self.head(table, words);
        self.key("file", one.file.as_str());
        self.optional("layer", one.layer.as_deref());
        match one.role {
            Role::Elevation => self.optional("unit", one.unit.as_deref()),
            Role::Climate => {
                self.optional("station_elevation_m", answers.station_elevation_m.map(plain));
            }
            Role::Cover => {
                self.optional("field", one.field.as_deref());
                let is_raster = one.field.is_none();
                answers.cover_classes.iter().for_each(|class| self.cover_class(class, is_raster));
            }
            Role::Drainage => {
                self.optional("field", one.field.as_deref());
                self.0.push_str("\n[layers.drainage.classes]\n");
                for class in &answers.drainage_classes {
                    let Some(word) = class.class.map(DrainageClass::key) else { continue };
                    let name = toml_edit::Key::new(class.code.as_str());
                    let _ = writeln!(self.0, "{name} = \"{word}\"");
                }
            }
            _ => {}
        }
    }

    fn cover_class(&mut self, class: &CoverAnswer, is_raster: bool) {
        self.0.push_str("\n[[layers.cover.class]]\n");
        match class.code.parse::<i64>() {
            Ok(code) if is_raster => self.key("code", code),
            _ => self.key("code", class.code.as_str()),
        }
        let name = if class.name.trim().is_empty() { &class.code } else { class.name.trim() };
        self.key("name", name);
        self.optional("treatment", class.treatment.map(Treatment::key));
        let is_infill = class.treatment == Some(Treatment::Infill);
        self.optional("gap_share", class.gap_share.filter(|_| is_infill));
    }

    fn keep_clear(&mut self, answers: &Answers) {
        let with_rules = answers.uses.iter().filter(|one| one.role != Role::None);
        let mut rules: Vec<(&Use, &KeepClearAnswer)> =
            with_rules.filter_map(|one| Some((one, one.keep_clear.as_ref()?))).collect();
        // Ground that several keep clear is named by the first: those with a caution come first.
        rules.sort_by_key(|(_, rule)| rule.caution.is_none());
        if rules.is_empty() {
            return;
        }
        self.0.push_str(
            "\n# Where nothing is planted; of rules that meet, the first names the ground.\n\
             # Local rules and licensed people decide: ask before any work.\n",
        );
        for (one, rule) in &rules {
            self.0.push_str("\n[[keep_clear]]\n");
            self.key("name", rule.name.trim());
            self.key("file", one.file.as_str());
            self.optional("layer", one.layer.as_deref());
            self.optional("width_field", rule.width_field.as_deref());
            self.key("distance_m", plain(rule.distance_m));
            self.key("reason", rule.reason.trim());
            self.key("authority", rule.authority.trim());
            self.key("date", rule.date.trim());
            self.optional("ask_within_m", rule.ask_within_m.map(plain));
            self.optional(
                "caution",
                rule.caution.as_deref().map(str::trim).filter(|text| !text.is_empty()),
            );
        }
    }
}

/// A number as people write it: without a point where it is whole.
fn plain(number: f64) -> Value {
    let is_whole = number.fract() == 0.0 && number.abs() < 1e15;
    if is_whole { Value::from(number as i64) } else { Value::from(number) }
}

/// A text for a comment: on one line, without what ends it.
fn one_line(text: &str) -> String {
    text.trim().chars().map(|one| if one.is_control() { ' ' } else { one }).collect()
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use proptest::prelude::*;

    use super::*;
    use crate::site;
    use crate::start::DrainageAnswer;

    fn layer(file: &str, role: Role) -> Use {
        Use { file: file.to_owned(), layer: None, role, field: None, unit: None, keep_clear: None }
    }

    fn rule(name: &str) -> KeepClearAnswer {
        KeepClearAnswer {
            name: name.to_owned(),
            distance_m: 7.5,
            width_field: None,
            reason: "bank".to_owned(),
            authority: "regional plan".to_owned(),
            date: "2027-02-01".to_owned(),
            ask_within_m: None,
            caution: None,
        }
    }

    fn least() -> Answers {
        Answers {
            name: "Heron Flat".to_owned(),
            uses: vec![layer("b.gpkg", Role::Boundary), layer("e.tif", Role::Elevation)],
            ..Answers::default()
        }
    }

    #[test]
    fn what_is_not_said_is_told_together() {
        let problems = compose(&Answers::default()).unwrap_err();
        let items: Vec<&str> = problems.iter().map(|one| one.item.as_str()).collect();
        assert_eq!(items, ["name", "boundary of the property", "elevation"]);
        let mut twice = least();
        twice.uses.push(layer("f.tif", Role::Elevation));
        twice.uses.push(layer("../c.csv", Role::Climate));
        twice.uses.push(layer("p.gpkg", Role::KeepClear));
        let told: Vec<String> =
            compose(&twice).unwrap_err().iter().map(Problem::to_string).collect();
        for part in ["2 layers", "no height of the station", "`../c.csv`", "keep clear of p.gpkg"] {
            assert!(told.iter().any(|one| one.contains(part)), "{part}: {told:?}");
        }
    }

    #[test]
    fn patchy_cover_needs_its_gaps_and_codes_their_class() {
        let mut answers = least();
        answers.uses.push(layer("c.tif", Role::Cover));
        answers.uses.push(layer("s.tif", Role::Drainage));
        let cover = |code: &str, treatment| CoverAnswer {
            code: code.to_owned(),
            name: String::new(),
            treatment,
            gap_share: None,
        };
        answers.cover_classes = vec![cover("1", Some(Treatment::Infill)), cover("2", None)];
        answers.drainage_classes = vec![DrainageAnswer { code: "3".to_owned(), class: None }];
        let problems = compose(&answers).unwrap_err();
        let items: Vec<&str> = problems.iter().map(|one| one.item.as_str()).collect();
        assert_eq!(items, ["cover `1`", "cover `2`", "drainage `3`"]);
    }

    #[test]
    fn those_with_a_caution_come_first() {
        let mut answers = least();
        let near = KeepClearAnswer { caution: Some("ask".to_owned()), ..rule("line") };
        answers
            .uses
            .push(Use { keep_clear: Some(rule("stream")), ..layer("s.gpkg", Role::Streams) });
        answers.uses.push(Use { keep_clear: Some(near), ..layer("l.gpkg", Role::KeepClear) });
        let text = compose(&answers).unwrap();
        let (site, _) = site::parse(&text, Path::new("/x/site.toml")).unwrap();
        let names: Vec<&str> = site.keep_clear.iter().map(|rule| rule.name.as_str()).collect();
        assert_eq!(names, ["line", "stream"]);
        assert!(text.contains("distance_m = 7.5\n") && !text.contains(".0\n"), "{text}");
    }

    proptest! {
        /// Whatever people type, the reader of sites takes it as it was said.
        #[test]
        fn every_text_comes_back(
            name in "[^\\s\\pC]\\PC{0,40}[^\\s\\pC]",
            class in "[^\\s\\pC]\\PC{0,30}[^\\s\\pC]",
            code in "[A-Za-zāō \"'.#=\\[\\]-]{1,12}",
            reason in "[^\\s\\pC]\\PC{0,60}[^\\s\\pC]",
            distance in 0.0..5000.0_f64,
            gap in 0.0..=1.0_f64,
        ) {
            prop_assume!(!code.trim().is_empty());
            let mut answers = least();
            answers.name.clone_from(&name);
            answers.uses.push(Use { field: Some("code".to_owned()), ..layer("c.gpkg", Role::Cover) });
            answers.uses.push(Use { field: Some("code".to_owned()), ..layer("s.gpkg", Role::Drainage) });
            answers.cover_classes = vec![CoverAnswer {
                code: code.clone(),
                name: class.clone(),
                treatment: Some(Treatment::Infill),
                gap_share: Some(gap),
            }];
            let well = DrainageAnswer { code: code.clone(), class: Some(DrainageClass::Well) };
            answers.drainage_classes = vec![well];
            let kept = KeepClearAnswer { distance_m: distance, reason: reason.clone(), ..rule("stream") };
            answers.uses.push(Use { keep_clear: Some(kept), ..layer("k.gpkg", Role::KeepClear) });
            let text = compose(&answers).unwrap();
            let (site, _) = site::parse(&text, Path::new("/x/site.toml"))
                .map_err(|problems| TestCaseError::fail(format!("{problems:?}\n{text}")))?;
            prop_assert_eq!(&site.name, name.trim());
            let cover = &site.layers.cover.as_ref().unwrap().table[0];
            prop_assert_eq!((&cover.code, &cover.class.name), (&code, &class.trim().to_owned()));
            prop_assert_eq!(cover.class.gap_share.to_bits(), gap.to_bits());
            let drainage = &site.layers.drainage.as_ref().unwrap().table[0];
            prop_assert_eq!((&drainage.code, drainage.class), (&code, DrainageClass::Well));
            prop_assert_eq!(&site.keep_clear[0].reason, reason.trim());
            prop_assert_eq!(site.keep_clear[0].distance.0.to_bits(), distance.to_bits());
        }
    }
}
