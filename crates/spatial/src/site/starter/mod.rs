//! The files that `hillweave new DIR` writes.

/// The starter site file. A line that begins with `#` and no blank is a key that may be left out.
const SITE: &str = include_str!("site.toml");

/// Twelve invented months, to be replaced by a station's.
const CLIMATE: &str = include_str!("climate.csv");

/// Name and text of each file of a new site; `stock` is the text of the starter stock file.
#[must_use]
pub fn starter_files(stock: &str) -> Vec<(&'static str, String)> {
    vec![
        ("site.toml", SITE.to_owned()),
        ("stock.toml", stock.to_owned()),
        ("climate.csv", CLIMATE.to_owned()),
    ]
}
