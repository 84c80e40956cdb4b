//! The page `docs/site-keys.md`, made from the table of keys.

use std::fmt::Write;

use super::check::heading;
use super::keys::{self, KEYS, Key, Presence};
use super::kind::Kind;

const OPENING: &str = "\
# Keys of `site.toml`

This page is made from the table of keys in `crates/spatial/src/site/keys.rs`; change it there.

A site is a folder with a `site.toml`. File names in it are taken from that folder. A key that is
not on this page is refused, with the nearest one that is. Lists are counted from 1 in messages:
`keep_clear[2].distance_m` is the distance of the second rule. `nan`, `inf` and numbers outside the
range are refused. Every default that is used is named by `hillweave check` and in the plan.

Distances to keep clear, cautions and densities are yours to set. Ask the council, the line company
and licensed people what applies on your ground; the values on this page are not advice about it.
";

/// The reference page of every key, in Markdown.
#[must_use]
pub fn keys_markdown() -> String {
    let mut page = OPENING.to_owned();
    for section in KEYS.iter().filter(|key| is_section(key)) {
        write_section(&mut page, section);
    }
    page
}

fn is_section(key: &Key) -> bool {
    matches!(key.kind, Kind::Section | Kind::Sections)
}

fn write_section(page: &mut String, section: &Key) {
    let values: Vec<&Key> = keys::children(section.path).filter(|key| !is_section(key)).collect();
    if values.is_empty() {
        return;
    }
    // Writing to a String cannot fail.
    let _ = write!(page, "\n## `{}`\n\n{}", heading(section.path), section.meaning);
    let _ = match section.presence {
        Presence::Required => write!(page, " Required."),
        Presence::Optional(without) => write!(page, " Optional; without it: {without}."),
        _ => Ok(()),
    };
    page.push_str("\n\n| key | value | when it is left out | meaning |\n|---|---|---|---|\n");
    for key in values {
        let _ = writeln!(
            page,
            "| `{}` | {}, such as `{}` | {} | {} |",
            key.name(),
            cell(&key.kind.expected()),
            cell(key.example),
            cell(&when_left_out(key.presence)),
            cell(key.meaning),
        );
    }
}

fn when_left_out(presence: Presence) -> String {
    match presence {
        Presence::Required => "**required**".to_owned(),
        Presence::Optional(without) => without.to_owned(),
        Presence::Assumed => String::new(),
        Presence::Default(value, source) => format!("`{value}` ({source})"),
        Presence::Rule(rule, source) => format!("{rule} ({source})"),
    }
}

/// Text that may stand in a cell of a table.
fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Run with `HILLWEAVE_BLESS=1` to write the page.
    #[test]
    fn the_page_in_docs_is_the_one_made_here() {
        let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/site-keys.md");
        if std::env::var_os("HILLWEAVE_BLESS").is_some() {
            std::fs::create_dir_all(concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs")).unwrap();
            std::fs::write(file, keys_markdown()).unwrap();
        }
        let page = std::fs::read_to_string(file).unwrap();
        assert!(page == keys_markdown(), "{file} is old: run this test with HILLWEAVE_BLESS=1");
    }

    #[test]
    fn every_value_has_a_row() {
        let rows = keys_markdown().lines().filter(|line| line.starts_with("| `")).count();
        assert_eq!(rows, KEYS.iter().filter(|key| !is_section(key)).count());
    }
}
