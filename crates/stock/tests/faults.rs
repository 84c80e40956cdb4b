//! Every fault of a stock file is reported, with its place, what was found and a remedy.

#![expect(clippy::expect_used, reason = "a test helper that fails is a failing test")]

use stock::{Factor, Library, STARTER, StockFault, StockKind, Supply};

fn faults(text: &str) -> Vec<StockFault> {
    Library::parse(text).expect_err("a fault")
}

/// A sound stock with one line put in.
fn with(line: &str) -> String {
    format!("[[stock]]\nid = \"a\"\nname = \"A\"\nkind = \"cultivar\"\n{line}\n")
}

#[test]
fn one_fault_is_found_where_it_is() {
    // line, column, and words of item, found, expected, remedy
    let tolerance = |inside: &str| with(&format!("tolerance = {{ {inside} }}"));
    let cases = [
        (with("suply = 5"), 5, 1, "suply", "unknown", "supply", "`supply`"),
        (with("supply = -5"), 5, 1, "stock `a`, supply", "-5", "0 or more", "no limit"),
        (with("supply = 5.5"), 5, 1, "supply", "float 5.5", "whole", "decimals"),
        (with("supply = \"many\""), 5, 1, "supply", "string \"many\"", "whole", "quotation"),
        (with("price_nzd = -0.1"), 5, 1, "price_nzd", "-0.1", "0 or more", "unit"),
        (with("price_nzd = nan"), 5, 1, "price_nzd", "NaN", "0 or more", "unit"),
        (with("tolerance = 3"), 5, 1, "tolerance", "integer 3", "table", "{"),
        (tolerance("slope = {}"), 5, 15, "tolerance.slope", "unknown", "slope_deg", "`slope_deg`"),
        (tolerance("slope_deg = {}"), 5, 15, "tolerance.slope_deg", "empty", "one end", "out"),
        (
            tolerance("slope_deg = { full_to = 35 }"),
            5,
            29,
            "tolerance.slope_deg.full_to",
            "without `none_above`",
            "both",
            "add `none_above`",
        ),
        (
            tolerance("slope_deg = { full_to = 48, none_above = 35 }"),
            5,
            43,
            "tolerance.slope_deg.none_above",
            "35",
            "more than full_to = 48",
            "rising order",
        ),
        (
            tolerance("slope_deg = { full_to = 35, none_above = 480 }"),
            5,
            43,
            "slope_deg.none_above",
            "480",
            "0 to 90 °",
            "unit",
        ),
        (
            tolerance("sun_ratio = { none_below = 0.3, full_from = \"x\" }"),
            5,
            47,
            "sun_ratio.full_from",
            "string \"x\"",
            "number",
            "plain number",
        ),
        (
            tolerance("drainage = { very_poor = 0, poor = 1, imperfect = 1, moderately_well = 1 }"),
            5,
            15,
            "tolerance.drainage.well",
            "nothing",
            "membership",
            "add `well",
        ),
        (
            tolerance(
                "drainage = { very_poor = 0, poor = 1, imperfect = 1, moderately_well = 1, well = 2 }",
            ),
            5,
            89,
            "tolerance.drainage.well",
            "2",
            "0 (does not grow) to 1",
            "check",
        ),
        ("title = 3\n".to_owned() + &with(""), 1, 1, "title", "unknown", "stock", "take it out"),
        (with("") + &with("")[..], 7, 1, "stock `a`, id", "second time", "no other", "another"),
        (String::new(), 1, 1, "stock", "no stock", "at least one", "[[stock]]"),
        ("stock = []".to_owned(), 1, 9, "stock", "no stock", "at least one", "[[stock]]"),
        ("stock = 3".to_owned(), 1, 9, "stock", "integer", "at least one", "[[stock]]"),
        (with("supply = 1 2"), 5, 10, "the file", "literal", "TOML", "mend"),
        (with("name = \"B\""), 5, 1, "the file", "duplicate key", "TOML", "mend"),
    ];
    for (text, line, column, item, found, expected, remedy) in cases {
        let all = faults(&text);
        assert_eq!(all.len(), 1, "{text}\n{all:#?}");
        let fault = &all[0];
        assert_eq!((fault.line, fault.column), (line, column), "{text}\n{fault:#?}");
        for (said, word) in [
            (&fault.item, item),
            (&fault.found, found),
            (&fault.expected, expected),
            (&fault.remedy, remedy),
        ] {
            assert!(said.contains(word), "`{word}` is not in `{said}`\n{text}\n{fault:#?}");
        }
    }
}

#[test]
fn a_missing_or_unsound_name_kind_or_id_is_refused() {
    let all = faults("[[stock]]\n");
    let items: Vec<_> = all.iter().map(|fault| fault.item.as_str()).collect();
    assert_eq!(items, ["stock number 1, id", "stock number 1, kind", "stock number 1, name"]);
    for id in ["", "A", "9a", "a b", "a-b", "mānuka", "a234567890123456789012345"] {
        let text = format!("[[stock]]\nid = \"{id}\"\nname = \"N\"\nkind = \"cultivar\"\n");
        assert_eq!(faults(&text).len(), 1, "{id}");
    }
    let text = "[[stock]]\nid = \"a\"\nname = \" \"\nkind = \"clone\"\n";
    assert_eq!(faults(text).len(), 2);
}

#[test]
fn all_faults_are_reported_in_the_order_of_the_text() {
    let text = r#"
[[stock]]
id = "amber"
nmae = "Amber"
kind = "cultivar"
supply = -1
[stock.tolerance]
slope_deg = { full_to = 50, none_above = 40 }
elevation_m = { none_below = 30, full_from = 20, full_to = 10, none_above = 5 }

[[stock]]
id = "amber"
name = "Other"
kind = "seed"
"#;
    let places: Vec<_> = faults(text)
        .into_iter()
        .map(|fault| (fault.line, fault.item.replace("stock `amber`, ", "")))
        .collect();
    let expected = [
        (2, "name"),
        (4, "nmae"),
        (6, "supply"),
        (8, "tolerance.slope_deg.none_above"),
        (9, "tolerance.elevation_m.full_from"),
        (9, "tolerance.elevation_m.full_to"),
        (9, "tolerance.elevation_m.none_above"),
        (12, "id"),
        (14, "kind"),
    ];
    assert_eq!(places, expected.map(|(line, item)| (line, item.to_owned())));
}

#[test]
fn sound_text_gives_what_it_says() {
    let text = with(
        "supply = 0\nprice_nzd = 1\n[stock.tolerance.slope_deg]\nfull_to = 35\nnone_above = 48.5",
    );
    let library = Library::parse(&text).expect("sound");
    let (place, stock) = library.find("a").expect("there");
    assert_eq!(
        (place, stock.kind, stock.supply.clone()),
        (0, StockKind::Cultivar, Supply::Total(0))
    );
    assert_eq!(stock.price_nzd, Some(1.0));
    assert_eq!(stock.tolerance.factors().collect::<Vec<_>>(), [Factor::SlopeDeg]);
    let slope = stock.tolerance.range(Factor::SlopeDeg).expect("given");
    assert_eq!((slope.lower(), slope.upper()), (None, Some((35.0, 48.5))));
    let unlimited = Library::parse(&with("")).expect("sound");
    assert_eq!(unlimited.stocks()[0].supply, Supply::Unlimited);
}

#[test]
fn the_starter_parses_and_has_both_kinds() {
    let library = Library::parse(STARTER).expect("the starter is sound");
    let kinds: Vec<_> = library.stocks().iter().map(|stock| stock.kind).collect();
    assert_eq!(kinds.iter().filter(|kind| **kind == StockKind::Cultivar).count(), 3);
    assert_eq!(kinds.iter().filter(|kind| **kind == StockKind::SeedLine).count(), 2);
    for factor in Factor::ALL {
        assert!(STARTER.contains(factor.key()), "{factor} is not explained");
        assert!(library.stocks().iter().any(|s| s.tolerance.factors().any(|f| f == factor)));
    }
}
