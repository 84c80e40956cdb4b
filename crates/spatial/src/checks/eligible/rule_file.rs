//! A rule file: read, and every fault of it named.

use std::ops::Range;
use std::path::{Path, PathBuf};

use toml_edit::{Item, TableLike, Value};

use super::compare::Compare;
use super::rule::{Quantity, Rule, Source, State, Test};
use crate::faults::Faults;
use crate::problem::Problem;
use crate::site::{Places, TextFile, nearest, read_toml};

/// How messages speak of a rule file.
const RULE_TEXT: TextFile = TextFile {
    item: "rule file",
    form: "TOML",
    instead: "name a rule file in `eligibility.rules`",
    missing: "check `eligibility.rules`, or take it out for the rule sets that come with the program",
};

/// The rule sets that come with the program: name of the file, text.
const BUILT_IN: [(&str, &str); 2] = [
    ("rules/carbon_forest_land.toml", include_str!("../../../../../rules/carbon_forest_land.toml")),
    ("rules/grant_manuka_2018.toml", include_str!("../../../../../rules/grant_manuka_2018.toml")),
];

/// The rule sets of these files; of `None` those that come with the program.
///
/// # Errors
/// Every fault of every file.
pub(super) fn rules(files: Option<&[PathBuf]>) -> Result<Vec<Rule>, Vec<Problem>> {
    let read: Vec<Result<Rule, Vec<Problem>>> = match files {
        Some(files) => files.iter().map(|file| read(file)).collect(),
        None => BUILT_IN.iter().map(|(file, text)| parse_rule(text, Path::new(file))).collect(),
    };
    let mut rules: Vec<Rule> = Vec::new();
    let mut problems = Vec::new();
    for (at, rule) in read.into_iter().enumerate() {
        match rule {
            Ok(rule) if rules.iter().any(|other| other.rule_id == rule.rule_id) => {
                let file = files.and_then(|files| files.get(at));
                let problem = Problem::error("rule file")
                    .found(format!("a second rule set called `{}`", rule.rule_id))
                    .expected("files whose names differ")
                    .remedy("rename one of them");
                problems.push(file.map_or(problem.clone(), |file| problem.file(file)));
            }
            Ok(rule) => rules.push(rule),
            Err(these) => problems.extend(these),
        }
    }
    if problems.is_empty() { Ok(rules) } else { Err(problems) }
}

fn read(file: &Path) -> Result<Rule, Vec<Problem>> {
    parse_rule(&RULE_TEXT.read(file)?, file)
}

/// Reads the text of a rule file; `file` is named in messages, and without its ending names the rule set.
///
/// # Errors
/// Every fault of it, in the order of the text.
pub fn parse_rule(text: &str, file: &Path) -> Result<Rule, Vec<Problem>> {
    let document = read_toml(text, file)?;
    let mut reading = Reading { file, places: Places::new(text), faults: Faults::new(file) };
    let root = Part { table: document.as_table(), path: String::new(), span: 0..0 };
    let rule = reading.rule(&root);
    reading.faults.in_order().or(rule)
}

/// One table of the file.
struct Part<'t> {
    table: &'t dyn TableLike,
    path: String,
    span: Range<usize>,
}

impl Part<'_> {
    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    fn span_of(&self, key: &str) -> Range<usize> {
        let value = self.table.get(key).and_then(Item::span);
        let name = || self.table.get_key_value(key).and_then(|(key, _)| key.span());
        value.or_else(name).unwrap_or_else(|| self.span.clone())
    }
}

/// A reading and what it has come upon.
struct Reading<'t> {
    file: &'t Path,
    places: Places<'t>,
    faults: Faults<'t>,
}

const KEYS: [&str; 7] = ["name", "jurisdiction", "state", "check_with", "ask", "source", "test"];
const SOURCE_KEYS: [&str; 3] = ["author", "title", "date"];
const TEST_KEYS: [&str; 6] = ["measure", "compare", "value", "years", "reaching_m", "ground_share"];

impl Reading<'_> {
    fn fault(
        &mut self,
        part: &Part<'_>,
        key: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
        remedy: &str,
    ) {
        let (line, column) = self.places.place(part.span_of(key).start);
        let problem = Problem::error(part.path_of(key)).found(found).expected(expected);
        self.faults.report(line, column, problem.remedy(remedy));
    }

    fn known(&mut self, part: &Part<'_>, keys: &[&'static str]) {
        let strangers: Vec<String> = part
            .table
            .iter()
            .map(|(key, _)| key.to_owned())
            .filter(|key| !keys.contains(&key.as_str()))
            .collect();
        for key in strangers {
            if self.faults.is_full() {
                self.faults.leave_out(1); // saves the search for the nearest known key
                continue;
            }
            let remedy = match nearest(&key, keys.iter().copied()) {
                Some(near) => format!("write `{near}`, if that is what is meant, or take it out"),
                None => "take it out".to_owned(),
            };
            let expected = format!("one of {}", keys.join(", "));
            self.fault(part, &key, "a key that is not known", expected, &remedy);
        }
    }

    fn rule(&mut self, root: &Part<'_>) -> Rule {
        self.known(root, &KEYS);
        let name = self.text(root, "name", "the name of the rule set");
        let jurisdiction = self.text(root, "jurisdiction", "where it holds");
        let check_with = self.text(root, "check_with", "whom to ask before anybody relies on it");
        let state = match self.word(root, "state", &["in_force", "closed"]) {
            Some(1) => State::Closed,
            _ => State::InForce,
        };
        let given = root.table.get("source");
        let source = if let Some(table) = given.and_then(Item::as_table_like) {
            let span = root.span_of("source");
            self.source(&Part { table, path: "source".to_owned(), span })
        } else {
            let found = if given.is_some() { "no table" } else { "nothing" };
            let expected = "a table [source] with `author`, `title` and `date`";
            self.fault(root, "source", found, expected, "say where the tests come from");
            Source { author: String::new(), title: String::new(), date: String::new() }
        };
        let stem = self.file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let ask = self.texts(root, "ask");
        let tests = self.tests(root);
        Rule { rule_id: stem, name, jurisdiction, state, check_with, ask, source, tests }
    }

    fn source(&mut self, part: &Part<'_>) -> Source {
        self.known(part, &SOURCE_KEYS);
        let author = self.text(part, "author", "who wrote it");
        let title = self.text(part, "title", "what it is called");
        let is_date = matches!(part.table.get("date"), Some(Item::Value(Value::Datetime(_))));
        let date = match part.table.get("date").and_then(Item::as_value) {
            Some(Value::Datetime(date)) => date.value().to_string(),
            Some(Value::Integer(year)) => year.value().to_string(),
            _ => self.text(part, "date", "its year or date"),
        };
        let begins_with_year =
            date.len() >= 4 && date.bytes().take(4).all(|byte| byte.is_ascii_digit());
        if !date.is_empty() && !is_date && !begins_with_year {
            let expected = "a year or a date, such as \"2018\" or 2018-07-01";
            self.fault(part, "date", format!("`{date}`"), expected, "begin with the year");
        }
        Source { author, title, date }
    }

    fn text(&mut self, part: &Part<'_>, key: &str, meaning: &str) -> String {
        let item = part.table.get(key);
        let text = item.and_then(Item::as_str).map(str::trim).filter(|text| !text.is_empty());
        if let Some(text) = text {
            return text.to_owned();
        }
        let found = match item {
            None => "nothing",
            Some(item) if item.as_str().is_some() => "an empty text",
            Some(_) => "something that is no text",
        };
        let expected = format!("a text: {meaning}");
        self.fault(part, key, found, expected, "write it in quotation marks");
        String::new()
    }

    fn texts(&mut self, part: &Part<'_>, key: &str) -> Vec<String> {
        let Some(item) = part.table.get(key) else { return Vec::new() };
        let texts = item.as_array().map(|list| list.iter().map(Value::as_str).collect());
        let texts: Option<Vec<&str>> = texts.unwrap_or(None);
        if let Some(texts) = texts.filter(|all| all.iter().all(|one| !one.trim().is_empty())) {
            return texts.into_iter().map(str::to_owned).collect();
        }
        let remedy = "write [\"…\", \"…\"], or take it out";
        self.fault(part, key, "something else", "a list of texts", remedy);
        Vec::new()
    }

    /// Place of a word among some.
    fn word(&mut self, part: &Part<'_>, key: &str, words: &[&'static str]) -> Option<usize> {
        let item = part.table.get(key);
        let written = item.and_then(Item::as_str);
        let at = written.and_then(|text| words.iter().position(|word| *word == text));
        if at.is_none() {
            let found = match (item, written) {
                (None, _) => "nothing".to_owned(),
                (_, Some(text)) => format!("`{}`", text.chars().take(40).collect::<String>()),
                (Some(_), None) => "something that is no text".to_owned(),
            };
            let near = written.and_then(|text| nearest(text, words.iter().copied()));
            let remedy =
                near.map_or_else(|| "write one of them".to_owned(), |w| format!("write \"{w}\""));
            self.fault(part, key, found, format!("one of {}", words.join(", ")), &remedy);
        }
        at
    }

    /// A number from `least` to `most`; `None` where there is none or it is not sound.
    fn number(&mut self, part: &Part<'_>, key: &str, (least, most): (f64, f64)) -> Option<f64> {
        let value = part.table.get(key)?.as_value();
        let number = match value {
            Some(Value::Float(number)) => Some(*number.value()),
            Some(Value::Integer(number)) => Some(*number.value() as f64),
            _ => None,
        };
        let sound = number.filter(|number| (least..=most).contains(number));
        if sound.is_none() {
            let found = number.map_or("something that is no number".to_owned(), |n| n.to_string());
            let remedy = "look at the unit in the name of the key or measure";
            self.fault(part, key, found, format!("a number from {least} to {most}"), remedy);
        }
        sound
    }

    fn tests(&mut self, root: &Part<'_>) -> Vec<Test> {
        let Some(tables) = root.table.get("test").and_then(Item::as_array_of_tables) else {
            let expected = "one table [[test]] or more";
            self.fault(root, "test", "none", expected, "write what is asked as [[test]] tables");
            return Vec::new();
        };
        let parts = tables.iter().enumerate().map(|(at, table)| Part {
            table,
            path: format!("test[{}]", at + 1),
            span: table.span().unwrap_or_default(),
        });
        parts.filter_map(|part| self.test(&part)).collect()
    }

    fn test(&mut self, part: &Part<'_>) -> Option<Test> {
        self.known(part, &TEST_KEYS);
        let measure = self.word(part, "measure", &Quantity::ALL.map(Quantity::word));
        let compare = self.word(part, "compare", &Compare::ALL.map(Compare::word));
        let measure = Quantity::ALL[measure?];
        if part.table.get("value").is_none() {
            let expected = format!("what is asked, as {}", measure.word());
            self.fault(part, "value", "nothing", expected, "write `value = …`");
        }
        let value = self.number(part, "value", (0.0, measure.most()));
        let years = self.number(part, "years", (0.0, 200.0));
        let reaching_m = self.number(part, "reaching_m", (0.0, 150.0));
        let ground_share = self.number(part, "ground_share", (0.0, 1.0));
        if measure.has_years() && part.table.get("years").is_none() {
            let expected = "the years after planting at which it is asked";
            self.fault(part, "years", "nothing", expected, "write `years = …`");
        }
        let only = [
            ("years", measure.has_years(), "crown_share and live_sph"),
            ("reaching_m", measure == Quantity::CrownShare, "crown_share"),
            ("ground_share", measure == Quantity::MatureHeightM, "mature_height_m"),
        ];
        for (key, is_heard, of) in only {
            if part.table.get(key).is_some() && !is_heard {
                let found = format!("beside `{}`", measure.word());
                self.fault(part, key, found, format!("only beside {of}"), "take it out");
            }
        }
        let compare = Compare::ALL[compare?];
        Some(Test { measure, compare, value: value?, years, reaching_m, ground_share })
    }
}
