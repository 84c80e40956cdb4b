//! SQL to a GeoPackage that is open: for the tables that GDAL does not fill by itself.

use gdal::Dataset;
use gdal::errors::GdalError;
use gdal::vector::sql::Dialect;
use gdal::vector::{Feature, FieldValue, LayerAccess};

/// Runs one statement that has no answer.
pub(super) fn run(dataset: &Dataset, statement: &str) -> Result<(), GdalError> {
    dataset.execute_sql(statement, None, Dialect::DEFAULT).map(drop)
}

/// A text between quotation marks; `'` is doubled.
pub(super) fn quoted(text: &str) -> String {
    format!("'{}'", text.replace('\'', "''"))
}

/// The first row of an answer, one value for each of its columns; empty where there is no row.
pub(super) fn first_row(
    dataset: &Dataset,
    query: &str,
) -> Result<Vec<Option<FieldValue>>, GdalError> {
    let Some(mut answer) = dataset.execute_sql(query, None, Dialect::DEFAULT)? else {
        return Ok(Vec::new());
    };
    let row = answer.features().next();
    Ok(row.map(|row| row.fields().map(|(_, value)| value).collect()).unwrap_or_default())
}

/// Every row of an answer of two texts.
pub(super) fn text_rows(dataset: &Dataset, query: &str) -> Result<Vec<[String; 2]>, GdalError> {
    let Some(mut answer) = dataset.execute_sql(query, None, Dialect::DEFAULT)? else {
        return Ok(Vec::new());
    };
    let text =
        |row: &Feature<'_>, at: usize| row.field_as_string(at).map(Option::unwrap_or_default);
    answer.features().map(|row| Ok([text(&row, 0)?, text(&row, 1)?])).collect()
}

/// The whole number that a query answers with; `None` where it is no such number.
pub(super) fn whole_number(dataset: &Dataset, query: &str) -> Result<Option<i64>, GdalError> {
    Ok(match first_row(dataset, query)?.into_iter().next().flatten() {
        Some(FieldValue::IntegerValue(number)) => Some(i64::from(number)),
        Some(FieldValue::Integer64Value(number)) => Some(number),
        _ => None,
    })
}

/// The text that a query answers with.
pub(super) fn one_text(dataset: &Dataset, query: &str) -> Result<Option<String>, GdalError> {
    Ok(match first_row(dataset, query)?.into_iter().next().flatten() {
        Some(FieldValue::StringValue(text)) => Some(text),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quotation_mark_does_not_end_a_text() {
        assert_eq!(quoted("o'clock; DROP"), "'o''clock; DROP'");
    }
}
