//! The files of `styles/`: legends as style files, for people who draw our layers elsewhere.

use std::fmt::Write;

use crate::legend::Legend;
use crate::legends::{cover_bands, ground, land, lines, slope_groups};
use crate::look::{Look, blocks, fixed_looks};
use crate::{qml, sld, web};

/// Every file with its content, in the order of their names.
#[must_use]
pub fn published() -> Vec<(String, String)> {
    let mut files =
        vec![("README.md".to_owned(), readme()), ("palette.css".to_owned(), web::css(&legends()))];
    for look in looks() {
        files.push((format!("{}.sld", look.name), sld::sld(&look)));
        files.push((format!("{}.qml", look.name), qml::qml(&look)));
        files.push((
            format!("{}.style.json", look.name),
            web::style_json(&look, &format!("{}.geojson", look.name)),
        ));
    }
    files.sort();
    files
}

fn looks() -> Vec<Look> {
    let mut looks = fixed_looks();
    looks.push(blocks(eight()));
    looks
}

/// Lines under names that stand for those of a plan.
fn eight() -> Legend {
    const NAMES: [(&str, &str, &str); 8] = [
        ("LINE-1", "first line planted", "A"),
        ("LINE-2", "second line planted", "B"),
        ("LINE-3", "third line planted", "C"),
        ("LINE-4", "fourth line planted", "D"),
        ("LINE-5", "fifth line planted", "E"),
        ("LINE-6", "sixth line planted", "F"),
        ("LINE-7", "seventh line planted", "G"),
        ("LINE-8", "eighth line planted", "H"),
    ];
    lines(NAMES)
}

fn legends() -> Vec<Legend> {
    vec![eight(), land(), ground(), slope_groups(), cover_bands()]
}

const PREFACE: &str = "\
# Styles

Written by `cargo xtask docs` from the palette in the code (`crates/palette`): do not edit by hand.

Each layer has three files: `.sld` (OGC SLD 1.1.0 with SE 1.1.0), `.qml` (QGIS 3) and `.style.json` (MapLibre style
specification 8, for its GeoJSON). `palette.css` has every colour as a variable. A plan carries its own styles, with the
names of its lines, in `plan.gpkg` and `plan.qgs`; `blocks.*` here shows eight lines under names that stand for them.
";

fn readme() -> String {
    let mut page = PREFACE.to_owned();
    for legend in legends() {
        // writing to a String cannot fail
        let _ = writeln!(
            page,
            "\n## {}\n\nColumn `{}`.\n\n| letter | key | meaning | colour | ink | pattern | hatch |\n\
             |---|---|---|---|---|---|---|",
            legend.title, legend.field
        );
        for class in &legend.classes {
            let _ = writeln!(
                page,
                "| {} | `{}` | {} | `{}` | `{}` | {} | `{}` |",
                class.letter,
                class.key,
                class.label,
                class.colour,
                class.ink(),
                class.pattern.name(),
                class.hatch()
            );
        }
    }
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_each_their_own_and_every_colour_is_in_the_tables() {
        let files = published();
        assert!(files.is_sorted_by(|a, b| a.0 < b.0), "sorted, and no name twice");
        assert!(files.iter().all(|(_, text)| text.ends_with('\n')));
        let page = &files.iter().find(|(name, _)| name == "README.md").unwrap().1;
        for class in legends().iter().flat_map(|legend| &legend.classes) {
            assert!(page.contains(&class.colour.to_string()), "{}", class.key);
        }
    }
}
