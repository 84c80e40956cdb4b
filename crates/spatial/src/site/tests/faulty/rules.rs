//! Rules that contradict each other or the layers.

use super::{COVER, assert_found, fault};

#[test]
fn keep_clear_rules() {
    let second = "[[keep_clear]]\nname = \"stream\"\nfile = \"p.gpkg\"\ndistance_m = 1\nreason = \"r\"\nauthority = \"a\"\ndate = \"d\"";
    assert_found(vec![
        fault(
            ("", second),
            (17, 8),
            "keep_clear[2].name",
            ["\"stream\"", "stands at line 10", "another name"],
        ),
        fault(
            ("distance_m = 5", "distance_m = 5\nask_within_m = 5"),
            (13, 16),
            "keep_clear[1].ask_within_m",
            ["5", "more than `distance_m`, 5", "no effect"],
        ),
        fault(
            ("distance_m = 5", "distance_m = 5\nask_within_m = -1"),
            (13, 16),
            "keep_clear[1].ask_within_m",
            ["-1", "from 0", "(m)"],
        ),
    ]);
}

#[test]
fn density_rules() {
    let rule = |keys: &str| format!("{COVER}[[density.rule]]\nsph = 2500\n{keys}");
    let twice = "[[density.rule]]\nsph = 1\nslope_group = \"FG\"\n[[density.rule]]\nsph = 2\nslope_group = \"EF\"";
    assert_found(vec![
        fault(
            ("", &rule("cover = \"pastures\"")),
            (24, 9),
            "density.rule[1].cover",
            ["\"pastures\"", "one of \"pasture\"", "did you mean \"pasture\""],
        ),
        fault(
            ("", &rule("cover = \"water\"")),
            (24, 9),
            "density.rule[1].cover",
            ["\"water\"", "", "[[layers.cover.class]]"],
        ),
        fault(
            ("", "[[density.rule]]\nsph = 1\ncover = \"water\""),
            (18, 9),
            "density.rule[1].cover",
            ["\"water\"", "[layers.cover] has none", ""],
        ),
        fault(
            ("", "[[density.rule]]\nsph = 1\nslope_group = \"FH\""),
            (18, 15),
            "density.rule[1].slope_group",
            ["\"FH\"", "A to G", "take `H` out"],
        ),
        fault(
            ("", "[[density.rule]]\nsph = 1\nslope_group = \"fg\""),
            (18, 15),
            "density.rule[1].slope_group",
            ["\"fg\"", "A to G", "\"FG\""],
        ),
        fault(
            ("", "[[density.rule]]\nsph = 1\nslope_group = \"FF\""),
            (18, 15),
            "density.rule[1].slope_group",
            ["\"FF\"", "", "`F` once"],
        ),
        fault(
            ("", twice),
            (21, 15),
            "density.rule[2].slope_group",
            ["\"EF\"", "slope group F; it has one at line 18", "keep one"],
        ),
        fault(
            ("", "[[density.rule]]\nsph = 1"),
            (16, 1),
            "density.rule[1]",
            ["none of", "`slope_group` or `cover`", "usual_sph"],
        ),
        fault(
            ("", &rule("cover = \"pasture\"\nslope_group = \"F\"")),
            (22, 1),
            "density.rule[1]",
            ["both", "`slope_group` or `cover`", "keep one"],
        ),
        fault(
            ("", "[[density.rule]]\nslope_group = \"F\""),
            (16, 1),
            "density.rule[1].sph",
            ["nothing", "plants a hectare", "sph = 1600"],
        ),
        fault(
            (
                "",
                "[[density.rule]]\nsph = 1\nline = \"a\"\n[[density.rule]]\nsph = 2\nline = \"a\"",
            ),
            (21, 8),
            "density.rule[2].line",
            ["\"a\"", "line a; it has one at line 18", "keep one"],
        ),
        // The trap of a press report: 3 m × 2 m beside one plant for every 9 m².
        fault(
            ("", "[[density.rule]]\nsph = 1667\nspacing_m = 3\nslope_group = \"F\""),
            (18, 13),
            "density.rule[1].spacing_m",
            ["3", "this spacing makes 1111", "`sph` is used"],
        ),
        fault(
            ("", &rule("cover = \"pasture\"").replace("\"plant\"", "\"keep\"")),
            (24, 9),
            "density.rule[1].cover",
            ["\"pasture\"", "is planted", "no effect"],
        ),
    ]);
}

#[test]
fn labour_that_cannot_be() {
    assert_found(vec![
        fault(
            ("", "[labour]\ngentle_per_day = 200"),
            (17, 18),
            "labour.gentle_per_day",
            ["200", "`steep_per_day`, 250 by default, or more", "where it is steep"],
        ),
        fault(
            ("", "[labour]\ngentle_per_day = 200\nsteep_per_day = 220"),
            (18, 17),
            "labour.steep_per_day",
            ["220", "`gentle_per_day`, 200, or fewer", "where it is steep"],
        ),
        fault(
            ("", "[labour]\npeople = 2.5"),
            (17, 10),
            "labour.people",
            ["2.5", "a whole number", ""],
        ),
        fault(("", "[order]\ntray = 40.5"), (17, 8), "order.tray", ["40.5", "a whole number", ""]),
        fault(
            ("", "[labour]\ndays = 20"),
            (17, 8),
            "labour.days",
            ["20", "`people`", "add `people`"],
        ),
    ]);
}

#[test]
fn fit_orders_and_floor() {
    assert_found(vec![
        fault(
            ("", "[mosaic]\nfit_floor = 0.1"),
            (17, 13),
            "mosaic.fit_floor",
            ["0.1", "reaches the last", "class N"],
        ),
        fault(
            ("", "[mosaic]\nfit_orders = [0.9, 0.6, 0.4]"),
            (17, 14),
            "mosaic.fit_orders",
            ["0.4", "0.4", "class N"],
        ),
    ]);
}

#[test]
fn seed_rules() {
    let seed = |keys: &str| format!("{COVER}[seed]\n{keys}");
    let name = |name: &str| format!("[[seed.trait]]\nname = \"{name}\"\nworth = 1");
    assert_found(vec![
        fault(
            ("", &seed("cover = [\"pasture\"]")),
            (23, 9),
            "seed.cover",
            ["\"pasture\"", "", "treatment = \"keep\""],
        ),
        fault(
            ("", "[seed]\ncover = []"),
            (17, 9),
            "seed.cover",
            ["an empty list", "none twice", "at least one"],
        ),
        fault(
            ("", "[seed]\nstand_least = 3\nstand_most = 2"),
            (18, 14),
            "seed.stand_most",
            ["2", "`stand_least`, 3", "lower `stand_least`"],
        ),
        fault(
            ("", "[seed]\nmothers_least = 2.5"),
            (17, 17),
            "seed.mothers_least",
            ["2.5", "a whole number", "leave the fraction out"],
        ),
        fault(
            ("", &format!("{}\n{}", name("dha"), name("dha"))),
            (20, 8),
            "seed.trait[2].name",
            ["\"dha\"", "each trait once", "take one"],
        ),
        fault(
            ("", &name("dah")),
            (17, 8),
            "seed.trait[1].name",
            ["\"dah\"", "one of", "did you mean \"dha\""],
        ),
        fault(
            ("", "[[seed.trait]]\nname = \"dha\"\nworth = 0"),
            (16, 8),
            "seed.trait",
            ["nothing but 0", "other than 0", "worth something"],
        ),
    ]);
}

#[test]
fn money_that_cannot_be() {
    assert_found(vec![
        fault(
            ("", "[money]\ncarbon = \"c.csv\""),
            (17, 10),
            "money.carbon",
            ["without a price", "`carbon_price_nzd`", "what a tonne"],
        ),
        fault(
            ("", "[money]\ncarbon_price_nzd = [1, 2, 3]"),
            (17, 20),
            "money.carbon_price_nzd",
            ["without a table", "`carbon`", "take the price out"],
        ),
        fault(
            ("", "[money]\ncarbon = \"c.csv\"\ncarbon_price_nzd = [3, 2, 4]"),
            (18, 20),
            "money.carbon_price_nzd",
            ["[3, 2, 4]", "low, middle and high", "in order"],
        ),
        fault(
            ("", "[money]\ndiscount_rate = 0.2"),
            (17, 17),
            "money.discount_rate",
            ["0.2", "0.05 and 0.08", "the one or the others"],
        ),
        fault(
            ("", "[money]\ndiscount_rates = [0.01, 0.02]"),
            (17, 18),
            "money.discount_rates",
            ["[0.01, 0.02]", "`discount_rate`, 0.06,", "the one or the others"],
        ),
        fault(
            ("", "[money]\ndiscount_rate = 0.03\ndiscount_rates = [0.08, 0.05]"),
            (18, 18),
            "money.discount_rates",
            ["[0.08, 0.05]", "", ""],
        ),
        fault(
            ("", "[money]\nyears = 7.5"),
            (17, 9),
            "money.years",
            ["7.5", "a whole number", "leave the fraction out"],
        ),
    ]);
}

#[test]
fn season_rules() {
    let season = |keys: &str| format!("{COVER}[season]\n{keys}");
    assert_found(vec![
        fault(
            ("", &season("forage_cover = [\"pasture\"]")),
            (23, 16),
            "season.forage_cover",
            ["\"pasture\"", "", "treatment = \"keep\""],
        ),
        fault(
            ("", "[season]\ngap_days = 2.5"),
            (17, 12),
            "season.gap_days",
            ["2.5", "a whole number", "leave the fraction out"],
        ),
        fault(
            ("", "[season]\nmost_wind_ms = 0"),
            (17, 16),
            "season.most_wind_ms",
            ["0", "over 0", ""],
        ),
        fault(
            ("", "[season]\nforage_km = [5, 1.5]"),
            (17, 13),
            "season.forage_km",
            ["", "rising", ""],
        ),
    ]);
}
