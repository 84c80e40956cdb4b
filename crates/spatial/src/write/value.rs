//! A value in a table, and what kinds there are.

/// What the values of a column are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Words, UTF-8.
    Text,
    /// Whole numbers, none below zero.
    Integer,
    /// Double-precision numbers.
    Real,
}

impl Kind {
    /// Name of the type in SQL.
    #[must_use]
    pub fn sql(self) -> &'static str {
        match self {
            Self::Text => "TEXT",
            Self::Integer => "INTEGER",
            Self::Real => "REAL",
        }
    }
}

/// One value of a row.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Not known.
    Null,
    /// Words.
    Text(String),
    /// A count.
    Integer(u64),
    /// A measure.
    Real(f64),
}

impl Value {
    /// What it is; `None` when it is not known.
    #[must_use]
    pub fn kind(&self) -> Option<Kind> {
        match self {
            Self::Null => None,
            Self::Text(_) => Some(Kind::Text),
            Self::Integer(_) => Some(Kind::Integer),
            Self::Real(_) => Some(Kind::Real),
        }
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<&String> for Value {
    fn from(text: &String) -> Self {
        Self::Text(text.clone())
    }
}

impl From<Option<&String>> for Value {
    fn from(text: Option<&String>) -> Self {
        text.map_or(Self::Null, Self::from)
    }
}

impl From<f64> for Value {
    fn from(number: f64) -> Self {
        Self::Real(number)
    }
}

impl From<Option<f64>> for Value {
    fn from(number: Option<f64>) -> Self {
        number.map_or(Self::Null, Self::Real)
    }
}

impl From<u64> for Value {
    fn from(count: u64) -> Self {
        Self::Integer(count)
    }
}

impl From<usize> for Value {
    fn from(count: usize) -> Self {
        Self::Integer(count as u64)
    }
}

/// As JSON; a number that JSON cannot hold becomes null, so check it first with
/// [`Column::value`](super::columns::Column::value).
impl From<Value> for serde_json::Value {
    fn from(value: Value) -> Self {
        match value {
            Value::Null => Self::Null,
            Value::Text(text) => Self::from(text),
            Value::Integer(count) => Self::from(count),
            Value::Real(number) => Self::from(number),
        }
    }
}
