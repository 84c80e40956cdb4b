//! One key of `site.toml`.

use serde_json::Value as Json;
use spatial::problem::Problem;
use spatial::site::{KEYS, Key, Kind};
use toml_edit::{Array, DocumentMut, Item, Table, Value};

use super::{document, refused};

/// Sets a key, or takes it out; the change in words.
pub(super) fn set_rule(
    text: &mut String,
    path: &str,
    value: Option<&Json>,
) -> Result<String, Problem> {
    let key = KEYS.iter().find(|key| key.path == path && can_be_set(key)).ok_or_else(|| {
        refused("path", format!("`{path}`"), "a key that the page offers", "reload the page")
    })?;
    let mut site = document(text, "site.toml")?;
    let words = match value {
        None => {
            take_out(&mut site, path);
            format!("rule {path} back to its default")
        }
        Some(value) => {
            let value = written(key, value)?;
            let words = format!("rule {path} = {value}");
            put(&mut site, path, value);
            words
        }
    };
    *text = site.to_string();
    Ok(words)
}

/// Whether a key is one value that stands in a table by itself.
pub(crate) fn can_be_set(key: &Key) -> bool {
    !key.path.contains("[]")
        && matches!(
            key.kind,
            Kind::Number(_)
                | Kind::Word(_)
                | Kind::Words(_)
                | Kind::Numbers(..)
                | Kind::Months
                | Kind::Text
        )
}

/// A value in the form that the key takes; whether it is within limits is for the reader of the site.
fn written(key: &Key, value: &Json) -> Result<Value, Problem> {
    let unlike =
        || refused(key.path, value.to_string(), &key.kind.expected(), "type a value of that kind");
    let number = |one: &Json| -> Option<Value> {
        let number = one.as_f64().filter(|number| number.is_finite())?;
        let is_whole = number.fract() == 0.0 && number.abs() < 1e15;
        Some(if is_whole && !key.example.contains('.') {
            Value::from(number as i64)
        } else {
            Value::from(number)
        })
    };
    let text = |one: &Json| one.as_str().map(Value::from);
    let list = |of: &dyn Fn(&Json) -> Option<Value>| -> Option<Value> {
        value.as_array()?.iter().map(of).collect::<Option<Array>>().map(Value::from)
    };
    match key.kind {
        Kind::Number(_) => number(value),
        Kind::Word(_) | Kind::Text => text(value),
        Kind::Words(_) => list(&text),
        Kind::Numbers(..) | Kind::Months => list(&number),
        _ => None,
    }
    .ok_or_else(unlike)
}

/// Puts a value in its place; the comment beside it stays.
pub(super) fn put(site: &mut DocumentMut, path: &str, value: Value) {
    let mut names = path.split('.').collect::<Vec<_>>();
    let Some(last) = names.pop() else { return };
    let mut table = site.as_table_mut();
    for name in names {
        let next = table.entry(name).or_insert_with(|| Item::Table(Table::new()));
        let Some(inner) = next.as_table_mut() else { return };
        table = inner;
    }
    put_in(table, last, value);
}

/// The same in a table.
pub(super) fn put_in(table: &mut Table, name: &str, mut value: Value) {
    match table.get_mut(name).and_then(Item::as_value_mut) {
        Some(old) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        None => {
            table.insert(name, Item::Value(value));
        }
    }
}

fn take_out(site: &mut DocumentMut, path: &str) {
    let Some((parents, name)) = path.rsplit_once('.') else { return };
    let mut table = site.as_table_mut();
    for parent in parents.split('.') {
        let Some(inner) = table.get_mut(parent).and_then(Item::as_table_mut) else { return };
        table = inner;
    }
    table.remove(name);
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    const SITE: &str = "# ours\n[mosaic]\nmin_share = 0.2 # least\n\n[zones]\nmin_area_ha = 0.5\n";

    fn after(path: &str, value: Option<&Json>) -> String {
        let mut text = SITE.to_owned();
        set_rule(&mut text, path, value).unwrap();
        text
    }

    #[test]
    fn comments_and_all_else_stay() {
        assert_eq!(after("mosaic.min_share", Some(&json!(0.35))), SITE.replace("0.2", "0.35"));
        let added = after("mosaic.line_cap", Some(&json!(0.6)));
        assert_eq!(added, SITE.replace("# least\n", "# least\nline_cap = 0.6\n"));
        assert_eq!(after("mosaic.min_share", None), SITE.replace("min_share = 0.2 # least\n", ""));
        let section = after("order.confidence", Some(&json!(0.95)));
        assert_eq!(section, format!("{SITE}\n[order]\nconfidence = 0.95\n"));
    }

    #[test]
    fn whole_numbers_are_written_as_the_key_is() {
        assert!(after("mosaic.seasons", Some(&json!(3.0))).contains("seasons = 3\n"));
        assert!(after("zones.min_area_ha", Some(&json!(2))).contains("min_area_ha = 2.0\n"));
    }

    #[test]
    fn what_is_no_key_or_no_value_of_it_is_refused() {
        let mut text = SITE.to_owned();
        for (path, value) in [
            ("mosaic.no_such", json!(1)),
            ("layers.boundary.file", json!("/etc/passwd")),
            ("keep_clear[].name", json!("x")),
            ("mosaic.min_share", json!("a lot")),
            ("mosaic.min_share", json!([0.2])),
            ("density.basis", json!(3)),
        ] {
            assert!(set_rule(&mut text, path, Some(&value)).is_err(), "{path}");
        }
        assert_eq!(text, SITE);
    }
}
