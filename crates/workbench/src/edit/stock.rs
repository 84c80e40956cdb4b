//! One value of a line in the stock file.

use spatial::problem::Problem;
use stock::{Factor, StockForm};
use toml_edit::{DocumentMut, InlineTable, Item, Table, Value};

use super::keys::put_in;
use super::{document, refused};
use crate::change::Corners;
use crate::files::Places;

/// Sets a value of a line, or takes it out; the change in words.
pub(super) fn set(
    text: &mut String,
    places: &Places,
    line: &str,
    key: &str,
    value: Option<Value>,
) -> Result<String, Problem> {
    let mut stock = document_of(text, places)?;
    let table = line_of(&mut stock, line)?;
    if table.get(key).is_some_and(Item::is_table_like) {
        let remedy = "change it in the stock file: one number would take the place of all winters";
        let problem = refused(key, "a supply by winter", "one number for all winters", remedy);
        return Err(problem.file(&places.stock));
    }
    let words = if let Some(value) = value {
        let words = format!("{line}: {key} = {value}");
        put_in(table, key, value);
        words
    } else {
        table.remove(key);
        format!("{line}: {key} left out")
    };
    *text = stock.to_string();
    Ok(words)
}

/// Sets what a line takes of a factor.
pub(super) fn set_tolerance(
    text: &mut String,
    places: &Places,
    (line, factor): (&str, &str),
    corners: Option<&Corners>,
) -> Result<String, Problem> {
    if !Factor::NUMERIC.iter().any(|one| one.key() == factor) {
        return Err(refused("factor", factor, "a factor in numbers", "reload the page"));
    }
    let mut stock = document_of(text, places)?;
    let table = line_of(&mut stock, line)?;
    let tolerance = table.entry("tolerance").or_insert_with(|| Item::Table(Table::new()));
    let Some(tolerance) = tolerance.as_table_mut() else {
        return Err(refused(
            "tolerance",
            "a value",
            "a table under [stock.tolerance]",
            "write it so in a text editor",
        ));
    };
    match corners {
        Some(corners) => put_in(tolerance, factor, Value::InlineTable(inline(corners))),
        None => drop(tolerance.remove(factor)),
    }
    *text = stock.to_string();
    Ok(match corners {
        Some(corners) => format!("{line}: {factor} = {}", inline(corners)),
        None => format!("{line}: {factor} does not limit"),
    })
}

fn inline(corners: &Corners) -> InlineTable {
    let Corners { none_below, full_from, full_to, none_above } = *corners;
    let named = [
        ("none_below", none_below),
        ("full_from", full_from),
        ("full_to", full_to),
        ("none_above", none_above),
    ];
    let given = named.into_iter().filter_map(|(name, at)| Some((name, Value::from(at?))));
    given.collect()
}

fn document_of(text: &str, places: &Places) -> Result<DocumentMut, Problem> {
    if StockForm::of(&places.stock) == Some(StockForm::Csv) {
        let remedy = "write it as TOML with `hillweave stock`, and name that in stock.file";
        let problem = refused("stock", "a stock file in CSV", "one in TOML", remedy);
        return Err(problem.file(&places.stock));
    }
    document(text, "stock file")
}

fn line_of<'d>(stock: &'d mut DocumentMut, line: &str) -> Result<&'d mut Table, Problem> {
    let tables = stock.get_mut("stock").and_then(Item::as_array_of_tables_mut);
    let of_line = |table: &&mut Table| table.get("id").and_then(Item::as_str) == Some(line);
    tables.and_then(|tables| tables.iter_mut().find(of_line)).ok_or_else(|| {
        refused(
            "line",
            format!("`{line}`"),
            "the id of a line in the stock file",
            "reload the page",
        )
    })
}
