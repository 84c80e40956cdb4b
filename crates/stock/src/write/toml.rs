//! The TOML form.

use std::fmt::Write;

use super::{Entry, entries, plain};
use crate::{Shape, Stock};

/// A text that [`crate::Library::parse`] reads.
pub(crate) fn toml(stocks: &[Stock]) -> String {
    stocks.iter().map(table).collect::<Vec<_>>().join("\n")
}

/// One `[[stock]]`.
fn table(stock: &Stock) -> String {
    let mut text = "[[stock]]\n".to_owned();
    let mut open = "";
    let entries = entries(stock);
    let mut rest = entries.as_slice();
    while let Some((path, _)) = rest.first() {
        let (table, key, is_inline) = place(path);
        if table != open {
            // Writing to a String cannot fail.
            let _ = writeln!(text, "[stock.{table}]");
            open = table;
        }
        let of_key = |(path, _): &&(String, Entry)| place(path) == (table, key, is_inline);
        let together = rest.iter().take_while(of_key).count();
        let (mine, others) = rest.split_at(together);
        let _ =
            writeln!(text, "{key} = {}", if is_inline { inline(mine) } else { value(&mine[0].1) });
        rest = others;
    }
    text
}

/// The table that a path is written in, the key there, and whether it is one of an inline table.
fn place(path: &str) -> (&str, &str, bool) {
    let mut parts = path.split('.');
    match (parts.next(), parts.next(), parts.next()) {
        (Some("supply"), Some(_), None) => ("", "supply", true),
        (Some(table), Some(key), inner) => (table, key, inner.is_some()),
        _ => ("", path, false),
    }
}

fn inline(entries: &[(String, Entry)]) -> String {
    let one = |(path, entry): &(String, Entry)| {
        let key = path.rsplit_once('.').map_or(path.as_str(), |(_, key)| key);
        format!("{key} = {}", value(entry))
    };
    format!("{{ {} }}", entries.iter().map(one).collect::<Vec<_>>().join(", "))
}

fn value(entry: &Entry) -> String {
    match entry {
        Entry::Text(text) => toml_edit::Value::from(text.as_str()).to_string(),
        Entry::Number(number) => plain(*number),
        Entry::Whole(number) => number.to_string(),
        Entry::Shape(Shape::Point(position)) => pair(position),
        Entry::Shape(Shape::Polygon(rings)) => {
            list(rings.iter().map(|ring| list(ring.iter().map(pair))))
        }
    }
}

fn pair([x, y]: &[f64; 2]) -> String {
    format!("[{}, {}]", plain(*x), plain(*y))
}

fn list(parts: impl Iterator<Item = String>) -> String {
    format!("[{}]", parts.collect::<Vec<_>>().join(", "))
}
