//! The first look at a file: every key against the table of keys.

use toml_edit::Item;

use super::fault::{Fault, kind_in_words};
use super::keys::{self, KEYS, Key, Presence};
use super::kind::{Kind, nearest};
use super::report::Report;
use super::section::Section;

/// Reports unknown and missing keys and values of the wrong kind, and records the defaults taken,
/// in a table and all tables inside it.
pub(super) fn check(section: &Section<'_>, report: &mut Report<'_>) {
    for name in section.names().filter(|name| !is_known(section, name)) {
        if report.is_full() {
            report.leave_out(1); // saves the search for the nearest known key
            continue;
        }
        let span = section.span_of_name(name);
        report.error(&section.path_of(name), span, unknown(section, name));
    }
    for key in keys::children(section.pattern()) {
        match section.get(key.name()) {
            Some(item) => given(section, key, item, report),
            None => absent(section, key, report),
        }
    }
}

fn is_known(section: &Section<'_>, name: &str) -> bool {
    keys::children(section.pattern()).any(|key| key.name() == name)
}

fn unknown(section: &Section<'_>, name: &str) -> Fault {
    let names = || keys::children(section.pattern()).map(Key::name);
    let elsewhere = || KEYS.iter().find(|key| key.name() == name).map(Key::parent);
    let remedy = match nearest(name, names()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => match elsewhere() {
            Some("") => format!("`{name}` is a table of its own: {}", heading_of(name)),
            Some(parent) => format!("`{name}` belongs under {}", heading(parent)),
            None => "take it out".to_owned(),
        },
    };
    let names = names().collect::<Vec<_>>().join(", ");
    Fault::new(format!("one of {names}"), remedy).found("an unknown key")
}

fn heading_of(name: &str) -> String {
    KEYS.iter().find(|key| key.name() == name).map_or(String::new(), |key| heading(key.path))
}

/// The heading of a table as it is written in the file.
pub(super) fn heading(path: &str) -> String {
    match path.strip_suffix("[]") {
        Some(path) => format!("[[{}]]", path.replace("[]", "")),
        None => format!("[{path}]"),
    }
}

fn absent(section: &Section<'_>, key: &'static Key, report: &mut Report<'_>) {
    match key.presence {
        Presence::Required => {
            let name = section.path_of(key.name());
            report.error(&name, section.span(), missing(section, key));
        }
        Presence::Default(value, _) => report.take_default(key.path, value),
        Presence::Assumed => check(&section.child(key.name()), report),
        Presence::Optional(_) | Presence::Rule(..) => {}
    }
}

fn missing(section: &Section<'_>, key: &Key) -> Fault {
    let first = keys::children(key.path).find(|key| key.presence == Presence::Required);
    let line = |key: &Key| format!("`{} = {}`", key.name(), key.example);
    let remedy = match (key.kind, first) {
        (Kind::Section | Kind::Sections, Some(first)) => {
            format!("add {} with {} and what else belongs to it", key.example, line(first))
        }
        _ => format!("add a line such as {} under {}", line(key), heading(section.pattern())),
    };
    Fault::new(format!("{}: {}", key.kind.expected(), meaning(key)), remedy).found("nothing")
}

/// The meaning of a key, to follow a colon.
fn meaning(key: &Key) -> String {
    let mut letters = key.meaning.trim_end_matches('.').chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

fn given(section: &Section<'_>, key: &'static Key, item: &Item, report: &mut Report<'_>) {
    let name = section.path_of(key.name());
    match key.kind {
        Kind::Section if item.is_table_like() => check(&section.child(key.name()), report),
        Kind::Section => {
            let fault = not_one_table(key, item);
            report.error(&name, section.span_of(key.name()), fault);
        }
        Kind::Sections => many(section, key, item, report),
        kind => {
            for fault in kind.faults(item) {
                report.error(&name, section.span_of(key.name()), fault);
            }
        }
    }
}

fn not_one_table(key: &Key, item: &Item) -> Fault {
    let remedy = if item.is_array_of_tables() {
        format!("write {} once, in single brackets", heading(key.path))
    } else {
        format!("write its keys under {}", heading(key.path))
    };
    Fault::new(format!("a table: {}", meaning(key)), remedy).found(kind_in_words(item))
}

fn many(section: &Section<'_>, key: &'static Key, item: &Item, report: &mut Report<'_>) {
    let name = section.path_of(key.name());
    let expected = format!("a list of tables: {}", meaning(key));
    let remedy = format!("write {} in double brackets above each", heading(key.path));
    if !item.is_array_of_tables() && !item.is_array() {
        let fault = Fault::new(expected, remedy).found(kind_in_words(item));
        report.error(&name, section.span_of(key.name()), fault);
        return;
    }
    let entries = section.children(key.name());
    if entries.is_empty() && key.presence == Presence::Required {
        let fault = Fault::new(expected, remedy).found("an empty list");
        report.error(&name, section.span_of(key.name()), fault);
    }
    for (index, entry) in entries.iter().enumerate() {
        if entry.is_given() {
            check(entry, report);
        } else {
            let expected = format!("a table: {}", meaning(key));
            let fault = Fault::new(expected, "write its keys in braces: { … }");
            report.error(&format!("{name}[{}]", index + 1), entry.span(), fault);
        }
    }
}
