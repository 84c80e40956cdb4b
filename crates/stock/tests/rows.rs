//! The stock file as a table of rows: read as spreadsheets write it, and refused by row and column.

use stock::{Library, Supply};

#[test]
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn a_fault_in_a_table_of_rows_is_told_by_row_and_column() {
    let head = "id,name,kind";
    // the text, line, column, words of item, found, expected, remedy
    let cases = [
        (
            format!("{head},suply\na,A,cultivar,5\n"),
            1,
            4,
            "suply",
            "unknown",
            "supply_",
            "`supply`",
        ),
        (format!("{head},name\na,A,cultivar,B\n"), 1, 4, "name", "second time", "once", "out"),
        (
            format!("{head},supply\n\na,A,cultivar,many\n"),
            3,
            4,
            "stock `a`, supply",
            "many",
            "whole",
            "whole",
        ),
        (format!("{head}\na,A,clone\n"), 2, 3, "stock `a`, kind", "clone", "`cultivar`", "words"),
        (
            format!("{head}\n,A,cultivar\n"),
            2,
            1,
            "stock number 1, id",
            "nothing",
            "letter",
            "fill the cell",
        ),
        (
            format!("{head}\na,A,cultivar\na,B,cultivar\n"),
            3,
            1,
            "stock `a`, id",
            "second time",
            "no other",
            "another",
        ),
        (
            format!("{head}\na,A,cultivar,60,000\n"),
            2,
            4,
            "stock number 1",
            "`60`",
            "3 cells",
            "quotation marks",
        ),
        (
            format!("{head},supply,supply_2027\na,A,cultivar,5,6\n"),
            2,
            4,
            "supply",
            "one figure",
            "one of",
            "empty",
        ),
        (
            format!("{head},supply_1000\na,A,cultivar,6\n"),
            2,
            4,
            "supply_1000",
            "`1000`",
            "a year",
            "winter",
        ),
        (
            format!("{head},tolerance_slope_deg_full_to\na,A,cultivar,35\n"),
            2,
            4,
            "stock `a`, tolerance_slope_deg_full_to",
            "without `none_above`",
            "both",
            "none_above",
        ),
        (
            format!("{head},tolerance_drainage_poor\na,A,cultivar,high\n"),
            2,
            4,
            "tolerance_drainage_poor",
            "high",
            "0 (does not grow) to 1",
            "plain number",
        ),
        (
            format!("{head},origin_wkt,origin_crs\na,A,cultivar,here,x\n"),
            2,
            4,
            "origin_wkt",
            "here",
            "POINT",
            "close each ring",
        ),
        (
            format!("{head},origin_wkt\na,A,cultivar,POINT (1 2)\n"),
            2,
            4,
            "origin_crs",
            "nothing",
            "text",
            "fill the cell",
        ),
        (String::new(), 1, 1, "the file", "no stock", "first row", "hillweave stock"),
        (format!("{head}\n,,\n"), 1, 1, "the file", "no stock", "first row", "hillweave stock"),
    ];
    for (text, line, column, item, found, expected, remedy) in cases {
        let all = Library::parse_csv(&text).expect_err("a fault");
        let fault = all
            .iter()
            .find(|fault| fault.item.contains(item) && fault.found.contains(found))
            .unwrap_or_else(|| panic!("{text}\n{all:#?}"));
        assert_eq!((fault.line, fault.column), (line, column), "{text}\n{fault:#?}");
        for (said, word) in [(&fault.expected, expected), (&fault.remedy, remedy)] {
            assert!(said.contains(word), "`{word}` is not in `{said}`\n{text}\n{fault:#?}");
        }
        assert!(all.iter().all(|fault| !fault.item.contains('.')), "keys are columns: {all:#?}");
    }
}

#[test]
fn several_faults_of_a_table_are_reported_at_once_in_its_order() {
    let text =
        "id,name,kind,supply,price_nzd,colour\na,A,cultivar,many,-1,red\nb,,seed_line,,cheap,\n";
    let places: Vec<_> = Library::parse_csv(text)
        .expect_err("faults")
        .into_iter()
        .map(|fault| (fault.line, fault.column, fault.item))
        .collect();
    let expected = [
        (1, 6, "column `colour`"),
        (2, 4, "stock `a`, supply"),
        (2, 5, "stock `a`, price_nzd"),
        (3, 1, "stock `b`, name"),
        (3, 5, "stock `b`, price_nzd"),
    ];
    assert_eq!(places, expected.map(|(line, column, item)| (line, column, item.to_owned())));
}

#[test]
fn rows_are_read_as_spreadsheets_write_them() {
    let rows = [
        "id,name,kind,supply_2027,supply_2028,flowering_begins,flowering_ends,flowering_elevation_m",
        "amber, Amber Spur ,cultivar,20000,60000,20-Nov,01-05,150",
        "",
        "seed,\"Gully, east\",seed_line,,,,,",
    ];
    let plain = Library::parse_csv(&rows.join("\n")).expect("sound");
    let amber = &plain.stocks()[0];
    assert_eq!(amber.name, "Amber Spur");
    assert_eq!(amber.supply, Supply::Seasons([(2027, 20_000), (2028, 60_000)].into()));
    let (begins, ends) = amber.flowering.expect("given").window_at(150.0);
    assert_eq!((begins.to_string(), ends.to_string()), ("11-20".to_owned(), "01-05".to_owned()));
    assert_eq!(
        (plain.stocks()[1].name.as_str(), &plain.stocks()[1].supply),
        ("Gully, east", &Supply::Unlimited)
    );
    let mut others = vec![format!("\u{feff}{}", rows.join("\r\n"))];
    for separator in [";", "\t"] {
        let east = rows[3].replace("\"Gully, east\"", "Gully# east").replace(',', separator);
        let others_rows = [
            &rows[0].replace(',', separator),
            &rows[1].replace(',', separator),
            "",
            &east.replace('#', ","),
        ];
        others.push(others_rows.join("\n"));
    }
    for text in others {
        assert_eq!(Library::parse_csv(&text).as_ref(), Ok(&plain), "{text}");
    }
}
