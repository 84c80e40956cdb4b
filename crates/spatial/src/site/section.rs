//! One table of the file, whose values are read through the table of keys.

use std::ops::Range;
use std::path::{Path, PathBuf};

use toml_edit::{Array, Item, TableLike, Value};

use super::keys::{self, Key, Presence};
use super::kind::as_number;

/// A table, given in the file or left out of it, with what it is called.
///
/// A value is handed out only when it is sound: of the kind that its key asks for. What is unsound
/// has been reported by then, and no site is made.
#[derive(Clone)]
pub(super) struct Section<'t> {
    table: Option<&'t dyn TableLike>,
    /// Path in the table of keys, such as `keep_clear[]`.
    pattern: String,
    /// Path in this file, such as `keep_clear[2]`, counted from 1.
    path: String,
    /// Bytes of the heading, or of the nearest one around it.
    span: Range<usize>,
}

impl<'t> Section<'t> {
    /// The file itself.
    pub(super) fn file(table: &'t dyn TableLike) -> Self {
        Self { table: Some(table), pattern: String::new(), path: String::new(), span: 0..0 }
    }

    /// Path in the table of keys.
    pub(super) fn pattern(&self) -> &str {
        &self.pattern
    }

    /// Bytes of the heading.
    pub(super) fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// Whether the file has this table.
    pub(super) fn is_given(&self) -> bool {
        self.table.is_some()
    }

    /// What the file has under a key.
    pub(super) fn get(&self, name: &str) -> Option<&'t Item> {
        self.table?.get(name)
    }

    /// The names in the table, in the order of the file.
    pub(super) fn names(&self) -> impl Iterator<Item = &'t str> {
        self.table.into_iter().flat_map(|table| table.iter().map(|(name, _)| name))
    }

    /// What a key is called in a message; the table itself when `name` is empty.
    pub(super) fn path_of(&self, name: &str) -> String {
        joined(&self.path, name)
    }

    /// Bytes of a key's name; the heading's when it is not there.
    pub(super) fn span_of_name(&self, name: &str) -> Range<usize> {
        let key = self.table.and_then(|table| table.get_key_value(name));
        key.and_then(|(key, _)| key.span()).unwrap_or_else(|| self.span())
    }

    /// Bytes of a key's value; the name's when the value has no place of its own.
    pub(super) fn span_of(&self, name: &str) -> Range<usize> {
        let value = self.get(name).filter(|item| item.is_value());
        value.and_then(Item::span).unwrap_or_else(|| self.span_of_name(name))
    }

    /// The table under a key; an absent one when the file has none.
    pub(super) fn child(&self, name: &str) -> Self {
        Self {
            table: self.get(name).and_then(Item::as_table_like),
            pattern: joined(&self.pattern, name),
            path: self.path_of(name),
            span: self.get(name).and_then(Item::span).unwrap_or_else(|| self.span_of_name(name)),
        }
    }

    /// The tables under a key that stands for any number of them.
    pub(super) fn children(&self, name: &str) -> Vec<Self> {
        let item = self.get(name);
        let headed = item.and_then(Item::as_array_of_tables).into_iter().flatten();
        let inline = item.and_then(Item::as_array).into_iter().flat_map(Array::iter);
        let inline = inline.map(|value| (value.as_inline_table().map(as_table), value.span()));
        let tables = headed.map(|table| (Some(table as &dyn TableLike), table.span()));
        tables
            .chain(inline)
            .enumerate()
            .map(|(index, (table, span))| Self {
                table,
                pattern: format!("{}[]", joined(&self.pattern, name)),
                path: format!("{}[{}]", self.path_of(name), index + 1),
                span: span.unwrap_or_else(|| self.span_of_name(name)),
            })
            .collect()
    }

    /// The key of the table of keys that a name in this table stands for.
    fn key(&self, name: &str) -> Option<&'static Key> {
        keys::find(&joined(&self.pattern, name))
    }

    /// A sound value: the file's, or else the default.
    fn value(&self, name: &str) -> Option<Value> {
        let key = self.key(name)?;
        match (self.get(name), key.presence) {
            (Some(item), _) => {
                item.as_value().filter(|_| key.kind.faults(item).is_empty()).cloned()
            }
            (None, Presence::Default(value, _)) => value.parse().ok(),
            (None, _) => None,
        }
    }

    /// A number.
    pub(super) fn number(&self, name: &str) -> Option<f64> {
        self.value(name).as_ref().and_then(as_number)
    }

    /// Text, or a code or date as text.
    pub(super) fn text(&self, name: &str) -> Option<String> {
        match self.value(name)? {
            Value::String(text) => Some(text.into_value()),
            Value::Integer(whole) => Some(whole.into_value().to_string()),
            Value::Datetime(date) => Some(date.into_value().to_string()),
            _ => None,
        }
    }

    /// A file, from the folder of the site file.
    pub(super) fn file_in(&self, folder: &Path, name: &str) -> Option<PathBuf> {
        self.text(name).map(|file| folder.join(file))
    }

    /// As many numbers as the caller asks for.
    pub(super) fn numbers<const N: usize>(&self, name: &str) -> Option<[f64; N]> {
        let numbers: Vec<f64> =
            self.value(name)?.as_array()?.iter().filter_map(as_number).collect();
        numbers.try_into().ok()
    }

    /// The words of a list.
    pub(super) fn words(&self, name: &str) -> Vec<String> {
        let word = |value: &Value| value.as_str().map(str::to_owned);
        self.entries(name).iter().filter_map(word).collect()
    }

    /// The whole numbers of a list of months.
    pub(super) fn months(&self, name: &str) -> Vec<u8> {
        let month = |value: &Value| value.as_integer().and_then(|month| u8::try_from(month).ok());
        self.entries(name).iter().filter_map(month).collect()
    }

    fn entries(&self, name: &str) -> Array {
        self.value(name).and_then(|value| value.as_array().cloned()).unwrap_or_default()
    }
}

fn as_table(table: &toml_edit::InlineTable) -> &dyn TableLike {
    table
}

fn joined(path: &str, name: &str) -> String {
    match (path, name) {
        ("", _) => name.to_owned(),
        (_, "") => path.to_owned(),
        _ => format!("{path}.{name}"),
    }
}
