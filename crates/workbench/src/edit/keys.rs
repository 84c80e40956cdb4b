//! One key of `site.toml`.

use std::ops::Range;

use serde_json::Value as Json;
use spatial::problem::Problem;
use spatial::site::{KEYS, Key, Kind};
use toml_edit::{Array, Document, DocumentMut, Item, Table, TableLike, Value};

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
    let Some(value) = value else {
        *text = without(text, path)?;
        return Ok(format!("rule {path} back to its default"));
    };
    let mut site = document(text, "site.toml")?;
    let value = written(key, value)?;
    let words = format!("rule {path} = {value}");
    put(&mut site, path, value)?;
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
pub(super) fn put(site: &mut DocumentMut, path: &str, value: Value) -> Result<(), Problem> {
    let mut names = path.split('.').collect::<Vec<_>>();
    let Some(last) = names.pop() else { return Ok(()) };
    let mut table: &mut dyn TableLike = site.as_table_mut();
    for name in names {
        let next = table.entry(name).or_insert_with(|| Item::Table(Table::new()));
        table = next.as_table_like_mut().ok_or_else(|| {
            let remedy = "write it as a table in a text editor";
            refused(name, "a value", &format!("a table with the keys of [{name}]"), remedy)
        })?;
    }
    put_in(table, last, value);
    Ok(())
}

/// The same in a table.
pub(super) fn put_in(table: &mut dyn TableLike, name: &str, mut value: Value) {
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

/// The text without a key: its own lines go, comments above them stay.
fn without(text: &str, path: &str) -> Result<String, Problem> {
    if let Some(lines) = lines_of(text, path) {
        let mut rest = text.to_owned();
        rest.replace_range(lines, "");
        return Ok(rest);
    }
    let mut site = document(text, "site.toml")?;
    let Some((parents, name)) = path.rsplit_once('.') else { return Ok(text.to_owned()) };
    let mut table: &mut dyn TableLike = site.as_table_mut();
    for parent in parents.split('.') {
        let Some(inner) = table.get_mut(parent).and_then(Item::as_table_like_mut) else {
            return Ok(text.to_owned());
        };
        table = inner;
    }
    table.remove(name);
    Ok(site.to_string())
}

/// The lines that a key and its value have to themselves; none where others share them.
fn lines_of(text: &str, path: &str) -> Option<Range<usize>> {
    let site = Document::parse(text).ok()?;
    let (parents, name) = path.rsplit_once('.')?;
    let mut table = site.as_table();
    for parent in parents.split('.') {
        table = table.get(parent)?.as_table()?;
    }
    let (key, value) = table.get_key_value(name)?;
    let (key, value) = (key.span()?, value.span()?);
    let begin = text[..key.start].rfind('\n').map_or(0, |at| at + 1);
    let end = text[value.end..].find('\n').map_or(text.len(), |at| value.end + at + 1);
    text[begin..key.start].trim().is_empty().then_some(begin..end)
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
    fn comments_above_a_key_that_goes_stay() {
        let mut text = "[mosaic]\n# Agreed with the owner\n# line_cap = 0.5\nmin_share = 0.2 # least\nseasons = 2\n".to_owned();
        set_rule(&mut text, "mosaic.min_share", None).unwrap();
        assert_eq!(text, "[mosaic]\n# Agreed with the owner\n# line_cap = 0.5\nseasons = 2\n");
        let mut text = "[zones]\nfactors = [\n  \"slope_group\",\n]\nmin_area_ha = 1\n".to_owned();
        set_rule(&mut text, "zones.factors", None).unwrap();
        assert_eq!(text, "[zones]\nmin_area_ha = 1\n");
    }

    #[test]
    fn keys_of_an_inline_table_change_in_their_place() {
        let mut text = "mosaic = { min_share = 0.2 } # ours\nzones.min_area_ha = 0.5\n".to_owned();
        set_rule(&mut text, "mosaic.line_cap", Some(&json!(0.3))).unwrap();
        assert!(text.contains("line_cap = 0.3") && text.contains("# ours"), "{text}");
        set_rule(&mut text, "mosaic.min_share", None).unwrap();
        set_rule(&mut text, "zones.min_area_ha", Some(&json!(0.7))).unwrap();
        assert!(
            !text.contains("min_share") && text.contains("zones.min_area_ha = 0.7\n"),
            "{text}"
        );
        set_rule(&mut text, "zones.min_area_ha", None).unwrap();
        assert!(!text.contains("min_area_ha"), "{text}");
        let mut odd = "mosaic = 3\n".to_owned();
        assert!(set_rule(&mut odd, "mosaic.line_cap", Some(&json!(0.3))).is_err());
        assert_eq!(odd, "mosaic = 3\n");
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
