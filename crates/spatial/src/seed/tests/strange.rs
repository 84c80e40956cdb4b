//! Whatever is in a file, it is read or refused with a place and a remedy.

use proptest::prelude::*;

use super::*;

fn is_told(problems: &[Problem]) -> bool {
    !problems.is_empty()
        && problems.iter().all(|one| {
            !one.item.is_empty()
                && !one.found.is_empty()
                && !one.expected.is_empty()
                && !one.remedy.is_empty()
                && one.place.is_some_and(|(line, column)| line > 0 && column > 0)
        })
}

fn reads_or_tells(bytes: &[u8]) -> bool {
    let is_sound = |ratio: f64| ratio > 0.0 && ratio <= 1.0;
    let lab = match with_file(bytes, read_lab) {
        Ok(sheet) => sheet.samples.iter().all(|one| is_sound(one.ratio) && !one.tree_id.is_empty()),
        Err(told) => is_told(&told),
    };
    let is_metres = |at: [f64; 2]| at.iter().all(|metres| metres.is_finite());
    let field = match with_file(bytes, read_field) {
        Ok(sheet) => sheet.trees.iter().all(|one| is_metres(one.at) && !one.tree_id.is_empty()),
        Err(told) => is_told(&told),
    };
    lab && field
}

/// A cell that may stand in a sheet, sound or not.
fn cell() -> impl Strategy<Value = String> {
    let words = [
        "",
        "T01",
        "T02",
        "T01+T02",
        "2026-12-20",
        "2027-02-30",
        "2640",
        "20",
        "<5",
        "<",
        "nd",
        "3,5",
        "1,234",
        "1e999",
        "NaN",
        "-0",
        "1",
        "0",
        "yes",
        "maybe",
        "1800000",
        "5600000",
        "176.2",
        "-39.1",
        "mg/kg",
        "ppm",
        "%",
        "°Brix",
        "\u{feff}",
        "\"",
    ];
    prop_oneof![4 => proptest::sample::select(words.to_vec()).prop_map(str::to_owned), 1 => "\\PC{0,6}"]
}

fn heading() -> impl Strategy<Value = String> {
    let words: Vec<&str> = FIELD
        .trim_end()
        .split(',')
        .chain(LAB.trim_end().split(','))
        .chain([
            "dha",
            "dha_unit",
            "brix",
            "glucose",
            "fructose_unit",
            "ratio_mg_per_mg",
            "µ",
            "brıx",
        ])
        .collect();
    prop_oneof![6 => proptest::sample::select(words).prop_map(str::to_owned), 1 => "\\PC{0,6}"]
}

proptest! {
    #[test]
    fn random_bytes_break_no_reader(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        prop_assert!(reads_or_tells(&bytes));
    }

    #[test]
    fn strange_sheets_break_no_reader(
        names in proptest::collection::vec(heading(), 1..10),
        rows in proptest::collection::vec(proptest::collection::vec(cell(), 0..11), 0..6),
        separator in proptest::sample::select(vec![",", ";", "\t"]),
    ) {
        let rows = rows.iter().map(|row| row.join(separator));
        let text = std::iter::once(names.join(separator)).chain(rows).collect::<Vec<_>>().join("\n");
        prop_assert!(reads_or_tells(text.as_bytes()), "{}", text);
    }

    /// A lab sheet of sound columns with strange cells: what is read of it can be.
    #[test]
    fn strange_cells_break_no_reader(
        rows in proptest::collection::vec(proptest::collection::vec(cell(), 8), 1..6),
    ) {
        let rows: Vec<String> = rows.iter().map(|row| row.join(",")).collect();
        for names in [LAB, FIELD] {
            let text = format!("{names}{}\n", rows.join("\n"));
            prop_assert!(reads_or_tells(text.as_bytes()), "{}", text);
        }
    }
}
