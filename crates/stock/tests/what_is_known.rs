//! What a stock says of itself beside its tolerance: read, and refused where it stands.

use stock::{Library, Status};

/// A sound stock with one line put in.
fn with(line: &str) -> String {
    format!("[[stock]]\nid = \"a\"\nname = \"A\"\nkind = \"cultivar\"\n{line}\n")
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn what_a_line_is_known_by_is_checked_where_it_stands() {
    // line, words of item, found, expected, remedy
    let cases = [
        ("status = \"idee\"", 5, "status", "idee", "`idea`", "`idea`"),
        ("status = \"being_raised\"", 1, "first_season", "nothing", "year", "add `first_season"),
        ("first_season = 2028", 5, "first_season", "`available`", "being_raised", "take it out"),
        ("status = \"being_raised\"\nfirst_season = 28", 6, "first_season", "28", "1950", "unit"),
        ("supply = {}", 5, "supply", "no season", "at least one", "supply = 0"),
        ("supply = { soon = 5 }", 5, "supply.soon", "`soon`", "a year", "winter"),
        ("supply = { 2027 = -1 }", 5, "supply.2027", "-1", "0 or more", "0 for none"),
        ("supply = { 2027 = 1.5 }", 5, "supply.2027", "float 1.5", "whole", "decimals"),
        ("supply = { 02027 = 5 }", 5, "supply.02027", "`02027`", "a year", "winter"),
        (
            "status = \"being_raised\"\nfirst_season = 2028\nsupply = { 2027 = 9 }",
            7,
            "supply.2027",
            "plants in 2027",
            "none before `first_season = 2028`",
            "mend one",
        ),
        ("min_lot = 0", 5, "min_lot", "0", "1", "unit"),
        ("lead_months = 400", 5, "lead_months", "400", "0 to 120 months", "unit"),
        ("mature_height_m = 0", 5, "mature_height_m", "0", "0.1 to 60 m", "unit"),
        ("nectar = 0.01", 5, "nectar", "float 0.01", "ratio_mean", "{"),
        ("nectar = { trees = 5 }", 5, "nectar.ratio_mean", "nothing", "mg/mg", "add `ratio_mean"),
        ("nectar = { ratio_mean = 13.2 }", 5, "nectar.ratio_mean", "13.2", "0 to 1 mg/mg", "unit"),
        (
            "nectar = { ratio_meen = 1, ratio_mean = 0.1 }",
            5,
            "ratio_meen",
            "unknown",
            "trees",
            "`ratio_mean`",
        ),
        (
            "nectar = { ratio_mean = 0.01, normalised_mg_per_kg = 8000 }",
            5,
            "nectar.normalised_mg_per_kg",
            "both",
            "either",
            "800,000",
        ),
        (
            "nectar = { normalised_sd_mg_per_kg = 8000 }",
            5,
            "nectar.normalised_mg_per_kg",
            "nothing",
            "mg/kg",
            "add `normalised_mg_per_kg",
        ),
        (
            "flowering = { begins = \"02-29\", ends = \"03-01\", elevation_m = 1 }",
            5,
            "flowering.begins",
            "02-29",
            "month",
            "29 February",
        ),
        (
            "flowering = { begins = 366, ends = 1, elevation_m = 1 }",
            5,
            "flowering.begins",
            "366",
            "1 to 365",
            "month before",
        ),
        (
            "flowering = { begins = 300, ends = 2027-01-05, elevation_m = 1 }",
            5,
            "flowering.ends",
            "datetime",
            "month",
            "quotation marks",
        ),
        (
            "flowering = { begins = 300, ends = 1 }",
            5,
            "flowering.elevation_m",
            "nothing",
            "-500 to 9000 m",
            "add `elevation_m",
        ),
        (
            "survival = { slipscar = 0.5 }",
            5,
            "survival.slipscar",
            "unknown",
            "slip_scar",
            "`slip_scar`",
        ),
        ("survival = { toe = 80 }", 5, "survival.toe", "80", "0.01 to 1", "unit"),
        ("origin = {}", 5, "stock `a`, origin", "empty", "at least one", "take `origin` out"),
        ("origin = { point = [1, 2] }", 5, "origin.crs", "nothing", "text", "add `crs"),
        ("origin = { crs = \"EPSG:2193\" }", 5, "origin.crs", "alone", "`point`", "take `crs` out"),
        (
            "origin = { point = [1], crs = \"x\" }",
            5,
            "origin.point",
            "[1]",
            "position",
            "two numbers",
        ),
        (
            "origin = { point = [1, nan], crs = \"x\" }",
            5,
            "origin.point",
            "nan",
            "position",
            "two numbers",
        ),
        (
            "origin = { polygon = [[[0, 0], [1, 0], [1, 1]]], crs = \"x\" }",
            5,
            "origin.polygon",
            "[[[0, 0]",
            "ending where it begins",
            "close each ring",
        ),
        (
            "origin = { point = [1, 2], polygon = [], crs = \"x\" }",
            5,
            "origin.polygon",
            "both",
            "one of",
            "out",
        ),
        (
            "origin = { taxon = \"L.\" }",
            5,
            "origin.taxon_basis",
            "nothing",
            "text",
            "add `taxon_basis",
        ),
        ("origin = { taxon_basis = \"key\" }", 5, "origin.taxon_basis", "alone", "`taxon`", "out"),
        ("origin = { seed_zone = \" \" }", 5, "origin.seed_zone", "\" \"", "text", "one line"),
    ];
    for (text, line, item, found, expected, remedy) in cases {
        let all = Library::parse(&with(text)).expect_err("a fault");
        assert_eq!(all.len(), 1, "{text}\n{all:#?}");
        let fault = &all[0];
        assert_eq!(fault.line, line, "{text}\n{fault:#?}");
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
fn nectar_may_be_told_at_80_brix() {
    let text = with(
        "nectar = { normalised_mg_per_kg = 10561, normalised_sd_mg_per_kg = 4000, trees = 12 }",
    );
    let library = Library::parse(&text).expect("sound");
    let nectar = library.stocks()[0].nectar.expect("given");
    assert!((nectar.ratio_mean.mg_per_mg() - 0.013_201_25).abs() < 1e-12);
    assert!((nectar.ratio_sd.expect("given") - 0.005).abs() < 1e-12);
}

#[test]
fn what_is_not_to_be_had_is_not_counted() {
    let library = Library::parse(&with("supply = 500\nstatus = \"idea\"")).expect("sound");
    let idea = &library.stocks()[0];
    assert_eq!((idea.supply_total(), idea.supply_in(2030)), (Some(0), Some(0)));
    let raised = with("status = \"being_raised\"\nfirst_season = 2028\nlead_months = 18");
    let library = Library::parse(&raised).expect("sound");
    let raised = &library.stocks()[0];
    assert_eq!(raised.status, Status::BeingRaised { from: 2028 });
    assert_eq!((raised.supply_in(2027), raised.supply_in(2028)), (Some(0), None));
    assert_eq!((raised.supply_total(), raised.lead_months()), (None, 18));
}
