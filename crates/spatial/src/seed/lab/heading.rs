//! Headings of a lab sheet that carry a unit: `dha (mg/kg)`, `dha_mg_per_kg`, `brix`.

use super::SHEET;

/// Figures whose headings may carry a unit.
const FIGURES: [&str; 5] = ["dha", "sugar", "glucose", "fructose", "sucrose"];

/// The column that a heading stands for.
pub(super) fn column(heading: &str) -> Option<&'static str> {
    let named = SHEET.columns().find(|column| column.eq_ignore_ascii_case(heading));
    named.or_else(|| apart(heading).map(|(figure, _)| figure))
}

/// The unit that a heading carries; empty when it carries none.
pub(super) fn unit(heading: &str) -> &str {
    apart(heading).map_or("", |(_, unit)| unit)
}

/// A heading taken apart: its figure, and what follows it.
fn apart(heading: &str) -> Option<(&'static str, &str)> {
    let bare = heading.trim_start_matches(['°', 'º']);
    if bare.get(..4).is_some_and(|start| start.eq_ignore_ascii_case("brix")) {
        let rest = after(bare, 4)?;
        return Some(("sugar", if rest.is_empty() { &bare[..4] } else { rest }));
    }
    FIGURES.into_iter().find_map(|figure| {
        let long = figure.len();
        let is_it = heading.get(..long).is_some_and(|start| start.eq_ignore_ascii_case(figure));
        is_it.then(|| after(heading, long)).flatten().map(|rest| (figure, rest))
    })
}

/// What follows a figure, without brackets and blanks around it; `None` where its name goes on.
fn after(heading: &str, long: usize) -> Option<&str> {
    let rest = heading.get(long..)?;
    let goes_on = rest.starts_with(|c: char| c.is_alphanumeric());
    let around =
        |c: char| c.is_whitespace() || matches!(c, '_' | '(' | ')' | '[' | ']' | ',' | ':');
    (!goes_on).then(|| rest.trim_matches(around))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_taken_apart() {
        for (heading, figure, carried) in [
            ("dha", "dha", ""),
            ("DHA (mg/kg)", "dha", "mg/kg"),
            ("dha [mg/kg]", "dha", "mg/kg"),
            ("dha_mg_per_kg", "dha", "mg_per_kg"),
            ("dha, µg/g", "dha", "µg/g"),
            ("sugar (% (w/w))", "sugar", "% (w/w"),
            ("brix", "sugar", "brix"),
            ("°Brix", "sugar", "Brix"),
            ("brix (°Bx)", "sugar", "°Bx"),
            ("sugar_brix", "sugar", "brix"),
            ("glucose g/L", "glucose", "g/L"),
        ] {
            assert_eq!((column(heading), unit(heading)), (Some(figure), carried), "{heading}");
        }
        assert_eq!(column("dha_unit"), Some("dha_unit"));
        assert_eq!(column("Tree_ID"), Some("tree_id"));
        for heading in ["dhap", "sugars", "brixton", "", "°", "tre_id"] {
            assert_eq!(column(heading), None, "{heading}");
        }
    }
}
