//! One table of the file, read key by key.

use toml_edit::{Item, TableLike, Value};

use super::faults::{Faults, Wrong};
use crate::keys::{self, StockKey, ValueKind};

/// A table with what it is called in a fault.
pub(super) struct Section<'t> {
    table: &'t dyn TableLike,
    /// Byte of the text where it begins.
    at: usize,
    /// The stock it is about, such as ``stock `amber` ``; empty for the file itself.
    owner: &'t str,
    /// Dotted path inside the stock, such as `tolerance.slope_deg`; empty for the stock itself.
    path: String,
}

/// Bounds of a number, both inclusive, and how they are said.
pub(super) struct Bounds {
    pub(super) least: f64,
    pub(super) greatest: f64,
    pub(super) said: String,
}

impl<'t> Section<'t> {
    pub(super) fn new(table: &'t dyn TableLike, at: usize, owner: &'t str) -> Self {
        Self { table, at, owner, path: String::new() }
    }

    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    pub(super) fn is_empty(&self) -> bool {
        self.table.is_empty()
    }

    /// Byte of the text where a key stands; the table's own when it is absent.
    pub(super) fn at_key(&self, key: &str) -> usize {
        self.table
            .get_key_value(key)
            .and_then(|(key, item)| key.span().or_else(|| item.span()))
            .map_or(self.at, |span| span.start)
    }

    /// What a key is called in a fault; the section itself when `key` is empty.
    pub(super) fn item(&self, key: &str) -> String {
        let dotted = joined(&self.path, key);
        match (self.owner, dotted.as_str()) {
            ("", _) => dotted,
            (owner, "") => owner.to_owned(),
            (owner, _) => format!("{owner}, {dotted}"),
        }
    }

    /// Reports each key that is not in `known`, with the nearest that is.
    pub(super) fn refuse_unknown(&self, known: &[&str], faults: &mut Faults<'_>) {
        for (key, _) in self.table.iter().filter(|(key, _)| !known.contains(key)) {
            let remedy = match nearest(key, known) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "take it out".to_owned(),
            };
            let expected = format!("one of {}", known.join(", "));
            let found = "an unknown key".to_owned();
            let wrong = Wrong { item: self.item(key), found, expected, remedy };
            faults.report(self.at_key(key), wrong);
        }
    }

    /// Reports a fault at a key.
    pub(super) fn wrong(
        &self,
        key: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
        remedy: impl Into<String>,
        faults: &mut Faults<'_>,
    ) {
        let wrong = Wrong {
            item: self.item(key),
            found: found.into(),
            expected: expected.into(),
            remedy: remedy.into(),
        };
        faults.report(self.at_key(key), wrong);
    }

    /// Reports each key that the table of keys does not have here.
    pub(super) fn refuse_unlisted(&self, faults: &mut Faults<'_>) {
        self.refuse_unknown(&keys::names_in(&self.path), faults);
    }

    /// What a key of the table of keys expects, in words.
    pub(super) fn expected(&self, key: &str) -> String {
        self.row(key).map_or_else(String::new, |row| row.kind.expected())
    }

    fn row(&self, key: &str) -> Option<&'static StockKey> {
        keys::find(&joined(&self.path, key))
    }

    /// Reports a key that is not there.
    pub(super) fn require(&self, key: &str, faults: &mut Faults<'_>) {
        if !self.has(key) {
            let example = self.row(key).map_or("…", |row| row.example);
            let remedy = if faults.is_csv() {
                format!("fill the cell, for example with {}", example.trim_matches('"'))
            } else {
                format!("add `{key} = {example}` with your own value")
            };
            self.wrong(key, "nothing", self.expected(key), remedy, faults);
        }
    }

    /// A text on one line, trimmed, when it is there.
    pub(super) fn line(&self, key: &str, faults: &mut Faults<'_>) -> Option<&'t str> {
        let text = self.text(key, faults)?;
        let sound = !text.trim().is_empty() && !text.chars().any(crate::is_no_letter);
        if !sound {
            let remedy = "write it in words on one line, or take it out";
            self.wrong(key, format!("{text:?}"), self.expected(key), remedy, faults);
        }
        sound.then(|| text.trim())
    }

    /// Place of a word among those the table of keys lists, when it is there.
    pub(super) fn word(&self, key: &str, faults: &mut Faults<'_>) -> Option<usize> {
        let Some(ValueKind::Word(words)) = self.row(key).map(|row| row.kind) else { return None };
        let text = self.text(key, faults)?;
        let found = words.iter().position(|word| *word == text);
        if found.is_none() {
            let remedy = match nearest(text, words) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "write one of these words".to_owned(),
            };
            self.wrong(key, format!("`{text}`"), self.expected(key), remedy, faults);
        }
        found
    }

    /// A text, when it is there.
    pub(super) fn text(&self, key: &str, faults: &mut Faults<'_>) -> Option<&'t str> {
        let item = self.table.get(key)?;
        if item.as_str().is_none() {
            self.wrong_type(key, item, &self.expected(key), "put it in quotation marks", faults);
        }
        item.as_str()
    }

    /// A number within the bounds of the table of keys, when it is there.
    pub(super) fn amount(&self, key: &str, faults: &mut Faults<'_>) -> Option<f64> {
        let Some(ValueKind::Number(least, greatest, _)) = self.row(key).map(|row| row.kind) else {
            return None;
        };
        let bounds = Bounds { least, greatest, said: self.expected(key) };
        self.number(key, &bounds, faults).map(|amount| amount + 0.0) // no minus zero
    }

    /// A whole number within the bounds of the table of keys, when it is there.
    pub(super) fn whole(&self, key: &str, faults: &mut Faults<'_>) -> Option<u32> {
        let Some(ValueKind::Count(least, greatest, _)) = self.row(key).map(|row| row.kind) else {
            return None;
        };
        let said = self.expected(key);
        let count = self.count(key, &said, "check the value", faults)?;
        if (least..=greatest).contains(&count) {
            return u32::try_from(count).ok();
        }
        self.wrong(key, count.to_string(), said, "check the value and its unit", faults);
        None
    }

    /// A table that the table of keys lists, when it is there.
    pub(super) fn table(&self, key: &str, faults: &mut Faults<'_>) -> Option<Self> {
        let example = self.row(key).map_or("{ … }", |row| row.example);
        self.section(key, &format!("a table such as {example}"), faults)
    }

    /// What stands at a key.
    pub(super) fn item_at(&self, key: &str) -> Option<&'t Item> {
        self.table.get(key)
    }

    /// The keys that are there, in the order of the text.
    pub(super) fn keys(&self) -> Vec<&'t str> {
        self.table.iter().map(|(key, _)| key).collect()
    }

    /// A number within bounds, when it is there.
    pub(super) fn number(
        &self,
        key: &str,
        bounds: &Bounds,
        faults: &mut Faults<'_>,
    ) -> Option<f64> {
        let item = self.table.get(key)?;
        let number = match item.as_value() {
            Some(Value::Float(number)) => *number.value(),
            Some(Value::Integer(number)) => *number.value() as f64,
            _ => {
                let remedy = "write a plain number, without quotation marks or unit";
                self.wrong_type(key, item, &bounds.said, remedy, faults);
                return None;
            }
        };
        if (bounds.least..=bounds.greatest).contains(&number) {
            return Some(number);
        }
        self.wrong(key, number.to_string(), &bounds.said, "check the value and its unit", faults);
        None
    }

    /// A whole number, 0 or more, when it is there.
    pub(super) fn count(
        &self,
        key: &str,
        said: &str,
        below_zero: &str,
        faults: &mut Faults<'_>,
    ) -> Option<u64> {
        let item = self.table.get(key)?;
        let Some(Value::Integer(number)) = item.as_value() else {
            let remedy = "write a whole number, without quotation marks or decimals";
            self.wrong_type(key, item, said, remedy, faults);
            return None;
        };
        let count = u64::try_from(*number.value()).ok();
        if count.is_none() {
            self.wrong(key, number.value().to_string(), said, below_zero, faults);
        }
        count
    }

    /// A table inside this one, when it is there.
    pub(super) fn section(
        &self,
        key: &str,
        expected: &str,
        faults: &mut Faults<'_>,
    ) -> Option<Self> {
        let item = self.table.get(key)?;
        let Some(table) = item.as_table_like() else {
            self.wrong_type(key, item, expected, "write it as `{ … }`", faults);
            return None;
        };
        let path = joined(&self.path, key);
        Some(Self { table, at: self.at_key(key), owner: self.owner, path })
    }

    /// Reports a value of another type than is asked for.
    pub(super) fn wrong_type(
        &self,
        key: &str,
        item: &Item,
        expected: &str,
        remedy: &str,
        faults: &mut Faults<'_>,
    ) {
        let quote = item.span().map(|span| faults.quote(span)).unwrap_or_default();
        let found = format!("the {} {quote}", item.type_name());
        self.wrong(key, found.trim_end(), expected, remedy, faults);
    }
}

/// A path and a key with a dot between, where both are something.
fn joined(path: &str, key: &str) -> String {
    match (path, key) {
        ("", one) | (one, "") => one.to_owned(),
        (path, key) => format!("{path}.{key}"),
    }
}

/// The known key nearest to one that is not, when one is near enough to be meant.
pub(super) fn nearest<'k>(key: &str, known: &[&'k str]) -> Option<&'k str> {
    known
        .iter()
        .map(|&candidate| (strsim::jaro_winkler(key, candidate), candidate))
        .filter(|&(likeness, _)| likeness >= 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}
