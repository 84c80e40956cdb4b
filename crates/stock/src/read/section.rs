//! One table of the file, read key by key.

use toml_edit::{Item, TableLike, Value};

use super::faults::{Faults, Wrong};

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
        let dotted = [self.path.as_str(), key].into_iter().filter(|part| !part.is_empty());
        let dotted = dotted.collect::<Vec<_>>().join(".");
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

    /// A text that must be there.
    pub(super) fn text(
        &self,
        key: &str,
        expected: &str,
        faults: &mut Faults<'_>,
    ) -> Option<&'t str> {
        let Some(item) = self.table.get(key) else {
            self.wrong(key, "nothing", expected, format!("add `{key} = \"…\"`"), faults);
            return None;
        };
        if item.as_str().is_none() {
            self.wrong_type(key, item, expected, "put it in quotation marks", faults);
        }
        item.as_str()
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
    pub(super) fn count(&self, key: &str, said: &str, faults: &mut Faults<'_>) -> Option<u64> {
        let item = self.table.get(key)?;
        let Some(Value::Integer(number)) = item.as_value() else {
            let remedy = "write a whole number, without quotation marks or decimals";
            self.wrong_type(key, item, said, remedy, faults);
            return None;
        };
        let count = u64::try_from(*number.value()).ok();
        if count.is_none() {
            let remedy = format!("write 0 for none, or leave `{key}` out for no limit");
            self.wrong(key, number.value().to_string(), said, remedy, faults);
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
        let path = [self.path.as_str(), key].into_iter().filter(|part| !part.is_empty());
        let path = path.collect::<Vec<_>>().join(".");
        Some(Self { table, at: self.at_key(key), owner: self.owner, path })
    }

    fn wrong_type(
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

/// The known key nearest to one that is not, when one is near enough to be meant.
fn nearest<'k>(key: &str, known: &[&'k str]) -> Option<&'k str> {
    known
        .iter()
        .map(|&candidate| (strsim::jaro_winkler(key, candidate), candidate))
        .filter(|&(likeness, _)| likeness >= 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}
