//! What is wrong with one value, before its name and place are added.

use std::ops::Range;

use toml_edit::{Item, Value};

/// One fault of a value.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fault {
    /// Bytes of the text where it stands; `None`: the value's own.
    pub(super) span: Option<Range<usize>>,
    /// What follows the key's name, such as `[2]` for the second of a list.
    pub(super) suffix: String,
    /// What was found; empty: the text of the span.
    pub(super) found: String,
    /// What was expected.
    pub(super) expected: String,
    /// What to do.
    pub(super) remedy: String,
}

impl Fault {
    /// A fault of the value itself; what was found is quoted from the text.
    pub(super) fn new(expected: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            span: None,
            suffix: String::new(),
            found: String::new(),
            expected: expected.into(),
            remedy: remedy.into(),
        }
    }

    /// Says what was found.
    pub(super) fn found(mut self, found: impl Into<String>) -> Self {
        self.found = found.into();
        self
    }

    /// Moves the fault to one entry of a list or table.
    pub(super) fn of_entry(mut self, suffix: &str, span: Option<Range<usize>>) -> Self {
        self.suffix = format!("{suffix}{}", self.suffix);
        self.span = self.span.or(span);
        self
    }
}

/// What kind of thing an item is, in plain words.
pub(super) fn kind_in_words(item: &Item) -> &'static str {
    match item {
        Item::None => "nothing",
        Item::Table(_) => "a table",
        Item::ArrayOfTables(_) => "a list of tables",
        Item::Value(value) => value_in_words(value),
    }
}

fn value_in_words(value: &Value) -> &'static str {
    match value {
        Value::String(_) => "text",
        Value::Integer(_) => "a whole number",
        Value::Float(_) => "a number",
        Value::Boolean(_) => "true or false",
        Value::Datetime(_) => "a date or time",
        Value::Array(_) => "a list",
        Value::InlineTable(_) => "a table",
    }
}
