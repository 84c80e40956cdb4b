//! The page `docs/stock-keys.md`, made from the table of keys and from the factors.

use std::fmt::Write;

use crate::columns::{ENDS, name_of};
use crate::keys::{STOCK_KEYS, StockKey, ValueKind};
use crate::{DRAINAGE_CLASSES, Factor};

const OPENING: &str = "\
# Keys of a stock file

This page is made from the table of keys in `crates/stock/src/keys.rs`; change it there.

A stock file lists what can be planted. It has two forms that say the same:

- **TOML**, `stock.toml`: one `[[stock]]` for each line, with tables such as `[stock.nectar]`.
- **CSV**, `stock.csv`: a first row with the names of the columns, then a row for each line. An empty
  cell is a key left out; a column may be left out when all its cells are empty. Commas, semicolons or
  tabs may separate the cells; decimals have a point. A text that begins with `=`, `+`, `-`, `@` or an
  apostrophe is written with an apostrophe before it, so that no spreadsheet runs it.

`[stock] file` in `site.toml` names either. `hillweave stock SITE_OR_FILE -o stock.csv` (or `.toml`)
writes one from the other; comments are not carried over. A key or column that is not on this page is
refused, with the nearest one that is.

Ask a nursery for its plant-health declaration: mānuka is a host of myrtle rust. Ask whose land and
whose plants seed is taken from, and what permits it needs, before it is taken.
";

const SUPPLY_COLUMNS: &str = "\
In CSV a supply by season has a column for each: `supply_2027`, `supply_2028`. A row fills either
`supply` or these.
";

const TOLERANCE: &str = "
## `[stock.tolerance]`

What a line takes of each factor of the ground. The least one decides (the law of the minimum, Liebig
1840). A factor that is left out does not limit; nor does one whose layer the site does not have. At and
below `none_below` the line does not grow, from `full_from` to `full_to` it is not held back, at and
above `none_above` it does not grow; in between fit changes in a straight line. An end whose two values
are left out is open. There are no defaults: ask whoever bred or collected the line.

| key | columns | values | too low is said | too high is said |
|---|---|---|---|---|
";

/// The reference page of every key and column of a stock file, in Markdown.
#[must_use]
pub fn stock_keys_markdown() -> String {
    let mut page = OPENING.to_owned();
    write_table(&mut page, "");
    page.push('\n');
    page.push_str(SUPPLY_COLUMNS);
    let is_table = |key: &&StockKey| key.kind == ValueKind::Table && key.path != "tolerance";
    for table in STOCK_KEYS.iter().filter(is_table) {
        // Writing to a String cannot fail.
        let _ = writeln!(page, "\n## `[stock.{}]`\n\n{}", table.path, table.meaning);
        write_table(&mut page, table.path);
    }
    page.push_str(TOLERANCE);
    for factor in Factor::NUMERIC {
        let [least, greatest] = factor.plausible();
        let _ = writeln!(
            page,
            "| `{0}` | `tolerance_{0}_{1}` and so on | {2} | {3} | {4} |",
            factor.key(),
            ENDS[0],
            ValueKind::Number(least, greatest, factor.unit()).expected(),
            factor.words(crate::Side::TooLow),
            factor.words(crate::Side::TooHigh),
        );
    }
    let drainage = Factor::Drainage;
    let _ = writeln!(
        page,
        "| `{0}` | `tolerance_{0}_{1}` and so on | for each of `{2}`: 0 (does not grow) to 1 (does not limit) | {3} | {4} |",
        drainage.key(),
        DRAINAGE_CLASSES[0],
        DRAINAGE_CLASSES.join("`, `"),
        drainage.words(crate::Side::TooLow),
        drainage.words(crate::Side::TooHigh),
    );
    page
}

/// The keys that stand in one table; in a stock itself when `parent` is empty.
fn write_table(page: &mut String, parent: &str) {
    page.push_str(
        "\n| key | column | value | when it is left out | meaning |\n|---|---|---|---|---|\n",
    );
    let is_here = |key: &&StockKey| {
        key.kind != ValueKind::Table
            && key.path.rsplit_once('.').map_or("", |path| path.0) == parent
    };
    for key in STOCK_KEYS.iter().filter(is_here) {
        let name = key.path.rsplit_once('.').map_or(key.path, |path| path.1);
        let without = if key.without.is_empty() { "**required**" } else { key.without };
        let _ = writeln!(
            page,
            "| `{name}` | `{}` | {}; such as `{}` | {without} | {} |",
            name_of(key.path),
            key.kind.expected(),
            key.example,
            key.meaning,
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Run with `HILLWEAVE_BLESS=1` to write the page.
    #[test]
    fn the_page_in_docs_is_the_one_made_here() {
        let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/stock-keys.md");
        if std::env::var_os("HILLWEAVE_BLESS").is_some() {
            std::fs::write(file, stock_keys_markdown()).unwrap();
        }
        let page = std::fs::read_to_string(file).unwrap();
        assert!(
            page == stock_keys_markdown(),
            "{file} is old: run this test with HILLWEAVE_BLESS=1"
        );
    }

    #[test]
    fn every_key_and_factor_has_a_row_of_as_many_cells_as_its_head() {
        let page = stock_keys_markdown();
        let rows: Vec<&str> = page.lines().filter(|line| line.starts_with("| `")).collect();
        let keys = STOCK_KEYS.iter().filter(|key| key.kind != ValueKind::Table).count();
        assert_eq!(rows.len(), keys + Factor::ALL.len());
        assert!(rows.iter().all(|row| row.matches('|').count() == 6), "{rows:#?}");
    }
}
