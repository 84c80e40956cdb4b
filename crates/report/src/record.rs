//! Records that a report is made of, and cells that remember where in them they come from.

use serde::Serialize;
use serde_json::Value;
use spatial::problem::Problem;

use crate::form::Form;

/// A record as JSON: what one of the commands writes beside its tables.
#[derive(Debug, Clone)]
pub(crate) struct Record {
    /// Name of its file, such as `plan.json`.
    pub(crate) file: &'static str,
    value: Value,
}

/// Words of a report, and the place in a record that they tell.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Cell {
    /// The words.
    pub(crate) text: String,
    /// File and JSON pointer (RFC 6901), `plan.json#/totals/seedlings`; `None`: words of ours.
    pub(crate) from: Option<String>,
    /// How the value became words, so that anyone can do it again.
    pub(crate) form: Option<Form>,
}

impl Cell {
    /// Words of ours.
    pub(crate) fn words(text: impl Into<String>) -> Self {
        Self { text: text.into(), from: None, form: None }
    }
}

impl Record {
    /// The record of a value.
    ///
    /// # Errors
    /// When it cannot be put into JSON, a fault of the program.
    pub(crate) fn of(file: &'static str, value: &impl Serialize) -> Result<Self, Problem> {
        let value = serde_json::to_value(value).map_err(|error| {
            let problem = Problem::error("report").file(file).found(error.to_string());
            problem
                .expected("a record that JSON can hold")
                .remedy("this is a fault of the program: please report it with the site folder")
        })?;
        Ok(Self { file, value })
    }

    /// A record that was read.
    pub(crate) fn read(file: &'static str, value: Value) -> Self {
        Self { file, value }
    }

    /// What stands at a pointer; `null` where nothing does.
    pub(crate) fn at(&self, pointer: &str) -> &Value {
        self.value.pointer(pointer).unwrap_or(&Value::Null)
    }

    /// What stands at a pointer, in words, with its place.
    pub(crate) fn cell(&self, pointer: &str, form: Form) -> Cell {
        Cell {
            text: form.words(self.at(pointer)),
            from: Some(format!("{}#{pointer}", self.file)),
            form: Some(form),
        }
    }

    /// A text at a pointer; empty where there is none.
    pub(crate) fn text(&self, pointer: &str) -> &str {
        self.at(pointer).as_str().unwrap_or_default()
    }

    /// A number at a pointer; 0 where there is none.
    pub(crate) fn number(&self, pointer: &str) -> f64 {
        self.at(pointer).as_f64().unwrap_or_default()
    }

    /// How many rows a list has.
    pub(crate) fn len(&self, pointer: &str) -> usize {
        self.at(pointer).as_array().map_or(0, Vec::len)
    }

    /// Pointers to the rows of a list.
    pub(crate) fn rows(&self, pointer: &str) -> impl Iterator<Item = String> + use<> {
        let pointer = pointer.to_owned();
        (0..self.len(&pointer)).map(move |at| format!("{pointer}/{at}"))
    }

    /// Texts of a list.
    pub(crate) fn texts(&self, pointer: &str) -> impl Iterator<Item = &str> {
        self.at(pointer).as_array().into_iter().flatten().filter_map(Value::as_str)
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn a_cell_tells_its_place() {
        let record =
            Record::read("plan.json", json!({"totals": {"seedlings": 346_321}, "none": null}));
        let cell = record.cell("/totals/seedlings", Form::Count);
        assert_eq!(cell.text, "346,321");
        assert_eq!(cell.from.as_deref(), Some("plan.json#/totals/seedlings"));
        assert_eq!(record.cell("/none", Form::Count).text, "–");
        assert_eq!(record.cell("/nowhere", Form::Count).text, "–");
        assert_eq!(record.rows("/nowhere").count(), 0);
    }
}
