//! SQL to a GeoPackage: GDAL makes its tables, all else goes in and is asked through `SQLite` itself, with bound values.

use std::path::Path;

use rusqlite::{Connection, OpenFlags, OptionalExtension, Row, ToSql, types::ToSqlOutput};

use super::gdal_problem::step_refused;
use super::value::Value;
use crate::problem::Problem;

/// Opens a file that is there.
pub(super) fn open(path: &Path, flags: OpenFlags) -> rusqlite::Result<Connection> {
    Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)
}

/// The first answer to a query; `None` where there is none, or where it is NULL.
pub(super) fn one<T: rusqlite::types::FromSql>(
    file: &Connection,
    query: &str,
) -> rusqlite::Result<Option<T>> {
    file.query_row(query, [], |row| row.get(0)).optional().map(Option::flatten)
}

/// Every answer to a query.
pub(super) fn all<T>(
    file: &Connection,
    query: &str,
    of: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
) -> rusqlite::Result<Vec<T>> {
    file.prepare(query)?.query_map([], of)?.collect()
}

/// A step on a file that `SQLite` refused.
pub(super) fn sql_problem(path: &Path, step: &str, error: &rusqlite::Error) -> Problem {
    step_refused(path, step, error.to_string())
}

impl ToSql for Value {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        match self {
            Self::Null => Ok(ToSqlOutput::from(rusqlite::types::Null)),
            Self::Text(text) => text.to_sql(),
            Self::Integer(count) => count.to_sql(),
            Self::Real(number) => number.to_sql(),
        }
    }
}
