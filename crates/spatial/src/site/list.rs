//! Lists and tables of values, looked at entry by entry.

use toml_edit::{Array, TableLike, Value};

use super::fault::{Fault, kind_in_words};
use super::kind::{as_number, nearest, quoted, sound_text};
use super::limits::{Limits, Order};

/// Months of a year.
const MONTHS: Limits = Limits::from(1.0, 12.0, "");

/// Whether a value is a number within limits.
pub(super) fn number(value: &Value, limits: &Limits) -> Result<(), Fault> {
    let Some(number) = as_number(value) else {
        let fault = Fault::new("", number_remedy(value, limits));
        return Err(if value.is_str() { fault } else { fault.found(in_words(value)) });
    };
    if limits.hold(number) {
        return Ok(());
    }
    let remedy = if !number.is_finite() {
        "write a plain number".to_owned()
    } else if limits.is_share() && (2.0..=100.0).contains(&number) {
        format!("write {number} % as {}", number / 100.0)
    } else if limits.unit.is_empty() || limits.is_share() {
        "check the value".to_owned()
    } else {
        format!("check the value and its unit ({})", limits.unit)
    };
    Err(Fault::new("", remedy))
}

fn number_remedy(value: &Value, limits: &Limits) -> String {
    let number = value.as_str().and_then(|text| text.trim().parse::<f64>().ok());
    match number.filter(|number| limits.hold(*number)) {
        Some(number) => format!("write {number} without quotation marks"),
        None => "write a plain number, without quotation marks or unit".to_owned(),
    }
}

/// Whether a value is one of the words.
pub(super) fn word(value: &Value, words: &[&str]) -> Result<(), Fault> {
    let Some(text) = value.as_str() else {
        let remedy = "write one of the words in quotation marks";
        return Err(Fault::new("", remedy).found(in_words(value)));
    };
    if words.contains(&text) {
        return Ok(());
    }
    Err(Fault::new(
        "",
        match nearest(text, words.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => "write one of these words".to_owned(),
        },
    ))
}

/// Faults of a list of so many numbers in order.
pub(super) fn numbers(list: &Array, count: usize, limits: &Limits, order: Order) -> Vec<Fault> {
    let faults = each(list, |value| number(value, limits));
    if !faults.is_empty() {
        return faults;
    }
    if list.len() != count {
        return vec![Fault::new("", format!("write {count} numbers")).found(count_in_words(list))];
    }
    let numbers: Vec<f64> = list.iter().filter_map(as_number).collect();
    let follows = |pair: &[f64]| match (pair, order) {
        ([before, after], Order::Rising) => before < after,
        ([before, after], Order::Falling) => before > after,
        (_, Order::Any) => true,
        _ => false,
    };
    if numbers.windows(2).all(follows) {
        return vec![];
    }
    let remedy = match order {
        Order::Rising => "put the smaller number first; no two may be the same",
        Order::Falling => "put the greater number first; no two may be the same",
        Order::Any => "", // nothing to follow
    };
    vec![Fault::new("", remedy)]
}

/// Faults of a list of months.
pub(super) fn months(list: &Array) -> Vec<Fault> {
    let mut faults = each(list, month);
    if list.is_empty() {
        faults.push(Fault::new("", "name at least one month").found("an empty list"));
    }
    faults.extend(repeated(list, |value| value.as_integer().map(|month| month.to_string())));
    faults
}

fn month(value: &Value) -> Result<(), Fault> {
    if value.is_integer() {
        return number(value, &MONTHS)
            .map_err(|fault| Fault { remedy: "1 is January, 12 is December".into(), ..fault });
    }
    Err(Fault::new("", "write the month as a whole number, 1 to 12"))
}

/// Faults of a list of words.
pub(super) fn words(list: &Array, words: &[&str]) -> Vec<Fault> {
    let one_of = format!("one of {}", quoted(words));
    let mut faults = each(list, |value| {
        word(value, words).map_err(|fault| Fault { expected: one_of.clone(), ..fault })
    });
    faults.extend(repeated(list, |value| value.as_str().map(str::to_owned)));
    faults
}

/// Faults of a list of texts.
pub(super) fn texts(list: &Array) -> Vec<Fault> {
    if list.is_empty() {
        return vec![Fault::new("", "name at least one").found("an empty list")];
    }
    let one = |value: &Value| match value.as_str() {
        Some(text) => sound_text(text),
        None => Err(Fault::new("", "write each in quotation marks").found(in_words(value))),
    };
    let mut faults = each(list, one);
    faults.extend(repeated(list, |value| value.as_str().map(str::to_owned)));
    faults
}

/// Faults of a table from codes to words.
pub(super) fn codes(table: &dyn TableLike, words: &[&str]) -> Vec<Fault> {
    if table.is_empty() {
        return vec![Fault::new("", "name at least one code").found("an empty table")];
    }
    let one_of = format!("one of {}", quoted(words));
    let look = |(code, item): (&str, &toml_edit::Item)| {
        let fault = match item.as_value() {
            Some(value) => word(value, words).err()?,
            None => Fault::new("", "write `code = \"class\"`").found(kind_in_words(item)),
        };
        let fault = Fault { expected: one_of.clone(), ..fault };
        Some(fault.of_entry(&format!(".{code}"), item.span()))
    };
    table.iter().filter_map(look).collect()
}

fn each(list: &Array, look: impl Fn(&Value) -> Result<(), Fault>) -> Vec<Fault> {
    let at = |(index, value): (usize, &Value)| {
        look(value).err().map(|fault| fault.of_entry(&format!("[{}]", index + 1), value.span()))
    };
    list.iter().enumerate().filter_map(at).collect()
}

/// A fault for each entry that was there before.
fn repeated(list: &Array, name: impl Fn(&Value) -> Option<String>) -> Vec<Fault> {
    let mut before = std::collections::BTreeSet::new();
    let mut faults = vec![];
    for (index, value) in list.iter().enumerate() {
        if name(value).is_some_and(|name| !before.insert(name)) {
            let fault = Fault::new("", "take the second one out");
            faults.push(fault.of_entry(&format!("[{}]", index + 1), value.span()));
        }
    }
    faults
}

fn in_words(value: &Value) -> &'static str {
    kind_in_words(&toml_edit::Item::Value(value.clone()))
}

fn count_in_words(list: &Array) -> String {
    match list.len() {
        1 => "1 number".to_owned(),
        count => format!("{count} numbers"),
    }
}
