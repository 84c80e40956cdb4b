//! Faulty texts: each ends in the expected problem, at the expected place, with a remedy.

use super::{LEAST, in_full, read};

/// A text with one fault: `(change, place, item, part of found, part of expected, part of remedy)`.
struct Fault {
    text: String,
    place: (usize, usize),
    item: &'static str,
    says: [&'static str; 3],
}

/// The least site with a line put in its place, or with lines after it (which begin at line 16).
fn with(line: &str, instead: &str) -> String {
    assert!(line.is_empty() || LEAST.contains(line), "{line}");
    if line.is_empty() { format!("{LEAST}{instead}\n") } else { LEAST.replacen(line, instead, 1) }
}

fn fault(
    (line, instead): (&str, &str),
    place: (usize, usize),
    item: &'static str,
    says: [&'static str; 3],
) -> Fault {
    Fault { text: with(line, instead), place, item, says }
}

fn assert_found(faults: Vec<Fault>) {
    assert!(!faults.is_empty());
    for fault in faults {
        let problems = match read(&fault.text) {
            Ok((_, warnings)) => warnings,
            Err(problems) => problems,
        };
        let all = in_full(&problems);
        assert_eq!(problems.len(), 1, "{}\n{all}", fault.text);
        let problem = &problems[0];
        assert_eq!(problem.item, fault.item, "{all}");
        assert_eq!(problem.place, Some(fault.place), "{all}");
        let said = [&problem.found, &problem.expected, &problem.remedy];
        for (said, part) in said.into_iter().zip(fault.says) {
            assert!(said.contains(part), "`{part}` is not in:\n{all}");
        }
    }
}

#[test]
fn keys() {
    assert_found(vec![
        fault(
            ("name = \"Test\"", "name = \"Test\"\nhalo = 3"),
            (3, 1),
            "site.halo",
            ["unknown key", "one of name, crs, cell_m, halo_m", "`halo_m`"],
        ),
        fault(
            ("", "[zones]\nmin_area = 1"),
            (17, 1),
            "zones.min_area",
            ["unknown key", "min_area_ha", "`min_area_ha`"],
        ),
        fault(
            ("", "[mosaic]\nusual_sph = 1"),
            (17, 1),
            "mosaic.usual_sph",
            ["unknown", "", "belongs under [density]"],
        ),
        fault(
            ("", "[site.zones]\nfactors = []"),
            (16, 7),
            "site.zones",
            ["unknown", "", "a table of its own: [zones]"],
        ),
        fault(
            ("", "[qqqq]\na = 1"),
            (16, 2),
            "qqqq",
            ["unknown", "one of site, layers", "take it out"],
        ),
        fault(("", "[zone]\na = 1"), (16, 2), "zone", ["unknown", "", "`zones`"]),
        fault(
            ("distance_m = 5", "distance = 5\ndistance_m = 5"),
            (12, 1),
            "keep_clear[1].distance",
            ["unknown", "", "`distance_m`"],
        ),
        fault(
            ("name = \"Test\"\n", ""),
            (1, 1),
            "site.name",
            ["nothing", "text: name of the property", "name = \"Kestrel Fold\"` under [site]"],
        ),
        fault(
            ("[site]\nname = \"Test\"\n", ""),
            (1, 1),
            "site.name",
            ["nothing", "", "under [site]"],
        ),
        fault(
            ("[stock]\nfile = \"stock.toml\"\n", ""),
            (1, 1),
            "stock.file",
            ["nothing", "a file name", "`file = \"stock.toml\"` under [stock]"],
        ),
        fault(
            ("file = \"elevation_m.tif\"\n", ""),
            (5, 1),
            "layers.elevation.file",
            ["nothing", "a file name", "elevation_m.tif"],
        ),
        fault(
            ("[layers.elevation]\nfile = \"elevation_m.tif\"\n", ""),
            (3, 2),
            "layers.elevation",
            [
                "nothing",
                "a table: height of the ground",
                "add [layers.elevation] with `file = \"elevation_m.tif\"`",
            ],
        ),
        fault(
            ("reason = \"bank\"\n", ""),
            (9, 1),
            "keep_clear[1].reason",
            ["nothing", "why the ground", "under [[keep_clear]]"],
        ),
        fault(
            ("[[keep_clear]]", "[keep_clear]"),
            (9, 2),
            "keep_clear",
            ["a table", "a list of tables", "[[keep_clear]] in double brackets"],
        ),
        fault(
            ("[stock]", "[[stock]]"),
            (7, 3),
            "stock",
            ["a list of tables", "a table", "once, in single brackets"],
        ),
        fault(
            ("[site]", "zones = 3\n[site]"),
            (1, 9),
            "zones",
            ["a whole number", "a table", "write its keys under [zones]"],
        ),
    ]);
}

#[test]
fn texts() {
    assert_found(vec![
        fault(
            ("\"Test\"", "7"),
            (2, 8),
            "site.name",
            ["a whole number", "text", "quotation marks"],
        ),
        fault(("\"Test\"", "\" \""), (2, 8), "site.name", ["blank text", "text", "fill it in"]),
        fault(
            ("\"Test\"", "\"a\\tb\""),
            (2, 8),
            "site.name",
            ["control character", "", "one line"],
        ),
        fault(("\"Test\"", "true"), (2, 8), "site.name", ["true or false", "", ""]),
        fault(
            ("\"elevation_m.tif\"", "\"\""),
            (6, 8),
            "layers.elevation.file",
            ["blank", "a file name", ""],
        ),
        fault(
            ("\"2025-07-01\"", "2025"),
            (15, 8),
            "keep_clear[1].date",
            ["a whole number", "a date", ""],
        ),
        fault(
            ("\"elevation_m.tif\"", "\"e.tif\"\nunit = \"feet\""),
            (7, 8),
            "layers.elevation.unit",
            ["\"feet\"", "one of \"m\", \"ft\", \"ft_us\"", "\"ft\""],
        ),
        fault(
            ("", "[density]\nbasis = \"grond\""),
            (17, 9),
            "density.basis",
            ["\"grond\"", "", "\"ground\""],
        ),
        fault(
            ("", "[density]\nbasis = 1"),
            (17, 9),
            "density.basis",
            ["a whole number", "", "in quotation marks"],
        ),
    ]);
}

#[test]
fn numbers() {
    assert_found(vec![
        fault(
            ("distance_m = 5", "distance_m = -5"),
            (12, 14),
            "keep_clear[1].distance_m",
            ["-5", "a number from 0 to 10000 (m)", "its unit (m)"],
        ),
        fault(
            ("distance_m = 5", "distance_m = \"5\""),
            (12, 14),
            "keep_clear[1].distance_m",
            ["\"5\"", "", "write 5 without quotation marks"],
        ),
        fault(
            ("distance_m = 5", "distance_m = \"5 m\""),
            (12, 14),
            "keep_clear[1].distance_m",
            ["\"5 m\"", "", "plain number"],
        ),
        fault(
            ("distance_m = 5", "distance_m = nan"),
            (12, 14),
            "keep_clear[1].distance_m",
            ["nan", "", "plain number"],
        ),
        fault(
            ("distance_m = 5", "distance_m = +inf"),
            (12, 14),
            "keep_clear[1].distance_m",
            ["+inf", "", "plain number"],
        ),
        fault(
            ("distance_m = 5", "distance_m = 1e300"),
            (12, 14),
            "keep_clear[1].distance_m",
            ["1e300", "to 10000", "unit"],
        ),
        fault(
            ("distance_m = 5", "distance_m = [5]"),
            (12, 14),
            "keep_clear[1].distance_m",
            ["a list", "", "plain number"],
        ),
        fault(
            ("", "[zones]\nmin_area_ha = 0"),
            (17, 15),
            "zones.min_area_ha",
            ["0", "over 0, up to 1000 (ha)", "(ha)"],
        ),
        fault(
            ("", "[survival]\nsteep = 80"),
            (17, 9),
            "survival.steep",
            ["80", "a share over 0, up to 1", "write 80 % as 0.8"],
        ),
        fault(
            ("", "[survival]\ngentle = 0"),
            (17, 10),
            "survival.gentle",
            ["0", "over 0", "check"],
        ),
        fault(
            ("", "[mosaic]\nfit_floor = 1.1"),
            (17, 13),
            "mosaic.fit_floor",
            ["1.1", "from 0 to 1", "check the value"],
        ),
        fault(
            ("", "[mosaic]\ntime_limit_s = 0"),
            (17, 16),
            "mosaic.time_limit_s",
            ["0", "over 0", "(s)"],
        ),
        fault(
            ("\"elevation_m.tif\"", "\"e.tif\"\nnodata = nan"),
            (7, 10),
            "layers.elevation.nodata",
            ["nan", "a number", ""],
        ),
        fault(("\"Test\"", "\"Test\"\ncell_m = 0"), (3, 10), "site.cell_m", ["0", "over 0", "(m)"]),
    ]);
}

#[test]
fn lists() {
    assert_found(vec![
        fault(
            ("", "[zones]\nwetness_edges = [11.0, 8.0]"),
            (17, 17),
            "zones.wetness_edges",
            ["[11.0, 8.0]", "2 rising numbers", "smaller number first"],
        ),
        fault(
            ("", "[zones]\nsun_edges = [1, 1]"),
            (17, 13),
            "zones.sun_edges",
            ["[1, 1]", "rising", "no two may be the same"],
        ),
        fault(
            ("", "[zones]\nsun_edges = [1]"),
            (17, 13),
            "zones.sun_edges",
            ["1 number", "2 rising", "write 2 numbers"],
        ),
        fault(
            ("", "[zones]\nsun_edges = [0.5, nan]"),
            (17, 19),
            "zones.sun_edges[2]",
            ["nan", "", "plain number"],
        ),
        fault(
            ("", "[zones]\nsun_edges = 0.5"),
            (17, 13),
            "zones.sun_edges",
            ["a number", "2 rising", "square brackets"],
        ),
        fault(
            ("", "[zones]\nsun_months = [5, 13]"),
            (17, 18),
            "zones.sun_months[2]",
            ["13", "1 to 12", "12 is December"],
        ),
        fault(
            ("", "[zones]\nsun_months = [5, 6, 5]"),
            (17, 21),
            "zones.sun_months[3]",
            ["5", "none twice", "take the second one out"],
        ),
        fault(
            ("", "[zones]\nsun_months = []"),
            (17, 14),
            "zones.sun_months",
            ["an empty list", "", "at least one"],
        ),
        fault(
            ("", "[zones]\nsun_months = [6.5]"),
            (17, 15),
            "zones.sun_months[1]",
            ["6.5", "", "whole number"],
        ),
        fault(
            ("", "[zones]\nfactors = [\"sun\"]"),
            (17, 12),
            "zones.factors[1]",
            ["\"sun\"", "one of", "\"sun_class\""],
        ),
        fault(
            ("", "[zones]\nfactors = [\"sun_class\",\n  \"sun_class\"]"),
            (18, 3),
            "zones.factors[2]",
            ["\"sun_class\"", "", "second"],
        ),
        fault(
            ("", "[mosaic]\nfit_orders = [0.2, 0.4, 0.8]"),
            (17, 14),
            "mosaic.fit_orders",
            ["[0.2, 0.4, 0.8]", "3 falling", "greater number first"],
        ),
    ]);
}

/// A cover layer with one class, `code = 1` at line 18, `name` at 19, `treatment` at 20.
const COVER: &str = "[layers.cover]\nfile = \"cover.tif\"\n[[layers.cover.class]]\ncode = 1\nname = \"pasture\"\ntreatment = \"plant\"\n";

fn cover(
    (line, instead): (&str, &str),
    place: (usize, usize),
    item: &'static str,
    says: [&'static str; 3],
) -> Fault {
    assert!(line.is_empty() || COVER.contains(line));
    let cover = if line.is_empty() {
        format!("{COVER}{instead}")
    } else {
        COVER.replacen(line, instead, 1)
    };
    Fault { text: format!("{LEAST}{cover}\n"), place, item, says }
}

#[test]
fn cover_classes() {
    let second = "[[layers.cover.class]]\ncode = 1\nname = \"bush\"\ntreatment = \"keep\"";
    let same_name = "[[layers.cover.class]]\ncode = 2\nname = \"pasture\"\ntreatment = \"keep\"";
    let kept =
        "[[layers.cover.class]]\ncode = 2\nname = \"bush\"\ntreatment = \"keep\"\nsurvival = 0.5";
    assert_found(vec![
        cover(
            ("\"plant\"", "\"infill\""),
            (21, 13),
            "layers.cover.class[1].gap_share",
            ["nothing", "a share from 0 to 1", "`gap_share = 0.6`"],
        ),
        cover(
            ("", "gap_share = 0.5"),
            (22, 13),
            "layers.cover.class[1].gap_share",
            ["0.5", "only beside", "take it out"],
        ),
        cover(
            ("\"plant\"", "\"infill\"\ngap_share = 60"),
            (22, 13),
            "layers.cover.class[1].gap_share",
            ["60", "share from 0 to 1", "write 60 % as 0.6"],
        ),
        cover(
            ("\"plant\"", "\"plants\""),
            (21, 13),
            "layers.cover.class[1].treatment",
            ["\"plants\"", "\"infill\"", "did you mean \"plant\""],
        ),
        cover(
            ("", second),
            (23, 8),
            "layers.cover.class[2].code",
            ["1", "stands at line 19", "keep one"],
        ),
        cover(
            ("", same_name),
            (24, 8),
            "layers.cover.class[2].name",
            ["\"pasture\"", "has at line 20", "a name of its own"],
        ),
        cover(
            ("", kept),
            (26, 12),
            "layers.cover.class[2].survival",
            ["0.5", "nothing is planted", "no effect"],
        ),
        cover(
            ("code = 1", "code = \"P\""),
            (19, 8),
            "layers.cover.class[1].code",
            ["\"P\"", "a whole number", "name the `field`"],
        ),
        cover(
            ("code = 1", "code = 1.5"),
            (19, 8),
            "layers.cover.class[1].code",
            ["a number", "a whole number, or text", ""],
        ),
        cover(
            ("\"cover.tif\"", "\"cover.gpkg\"\nlayer = \"cover\""),
            (18, 1),
            "layers.cover.field",
            ["nothing", "`field` beside `layer`", "add `field`"],
        ),
        fault(
            ("", "[layers.cover]\nfile = \"c.tif\""),
            (16, 1),
            "layers.cover.class",
            ["nothing", "a list of tables", "[[layers.cover.class]]"],
        ),
        fault(
            ("", "[layers.cover]\nfile = \"c.tif\"\nclass = []"),
            (18, 9),
            "layers.cover.class",
            ["an empty list", "", "double brackets"],
        ),
        fault(
            (
                "",
                "[layers.cover]\nfile = \"c.tif\"\nclass = [{ code = 1, name = \"a\", treatment = \"plant\" }, 3]",
            ),
            (18, 57),
            "layers.cover.class[2]",
            ["3", "a table: one code", "in braces"],
        ),
    ]);
}

#[test]
fn drainage_and_climate() {
    let drainage = |classes: &str| {
        format!("[layers.drainage]\nfile = \"d.gpkg\"\nfield = \"d\"\nclasses = {classes}")
    };
    let raster = "[layers.drainage]\nfile = \"d.tif\"\nclasses = { 1 = \"poor\", P = \"well\" }";
    let twice = "[layers.drainage]\nfile = \"d.tif\"\nclasses = { 1 = \"poor\", 01 = \"well\" }";
    assert_found(vec![
        fault(
            ("", &drainage("{ P = \"pore\" }")),
            (19, 17),
            "layers.drainage.classes.P",
            ["\"pore\"", "\"very_poor\"", "\"poor\""],
        ),
        fault(
            ("", &drainage("{ P = 1 }")),
            (19, 17),
            "layers.drainage.classes.P",
            ["a whole number", "", "quotation marks"],
        ),
        fault(
            ("", &drainage("{}")),
            (19, 11),
            "layers.drainage.classes",
            ["an empty table", "", "at least one code"],
        ),
        fault(
            ("", &drainage("\"P\"")),
            (19, 11),
            "layers.drainage.classes",
            ["text", "a table from codes", "braces"],
        ),
        fault(
            ("", raster),
            (18, 25),
            "layers.drainage.classes.P",
            ["`P`", "a whole number", "name the `field`"],
        ),
        fault(
            ("", twice),
            (18, 25),
            "layers.drainage.classes.01",
            ["01", "each code once", "keep one"],
        ),
        fault(
            ("", "[layers.climate]\nfile = \"c.csv\""),
            (16, 1),
            "layers.climate.station_elevation_m",
            ["nothing", "height of the station", "station_elevation_m = 40"],
        ),
    ]);
}

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
            ["neither", "either `slope_group` or `cover`", ""],
        ),
        fault(
            ("", &rule("cover = \"pasture\"\nslope_group = \"F\"")),
            (22, 1),
            "density.rule[1]",
            ["both", "either", "keep one"],
        ),
        fault(
            ("", "[[density.rule]]\nslope_group = \"F\""),
            (16, 1),
            "density.rule[1].sph",
            ["nothing", "(plants/ha)", "sph = 1600"],
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
fn syntax() {
    let broken = |line: &str, instead: &str, place, item, says| Fault {
        text: with(line, instead),
        place,
        item,
        says,
    };
    assert_found(vec![
        broken(
            "\"Test\"",
            "Test",
            (2, 8),
            "TOML at `Test`",
            ["without quotation marks", "TOML", "quotation marks"],
        ),
        broken(
            "\"Test\"",
            "\"Test\"\nname = \"B\"",
            (3, 1),
            "TOML at `name`",
            ["duplicate", "TOML", "keep one"],
        ),
        broken("[site]", "[site", (1, 6), "TOML", ["unclosed", "TOML", "look at this line"]),
        broken(
            "distance_m = 5",
            "distance_m 5",
            (12, 12),
            "TOML",
            ["missing", "TOML", "look at this line"],
        ),
        broken(
            "distance_m = 5",
            "distance_m =",
            (12, 13),
            "TOML",
            ["missing value", "TOML", "look at this line"],
        ),
        broken(
            "distance_m = 5",
            "distance_m = 1e999999",
            (12, 14),
            "TOML at `1e999999`",
            ["", "TOML", ""],
        ),
        broken(
            "distance_m = 5",
            "distance_m = 99999999999999999999",
            (12, 14),
            "TOML at `99999999999999999999`",
            ["", "TOML", ""],
        ),
    ]);
}

#[test]
fn all_problems_are_reported_in_the_order_of_the_text() {
    let text = "[zones]\nmin_area_ha = -1\nsun_months = [0]\n[mosaic]\ngap = 2\nspeed = 1\n[site]\n\"āhua\" = 3\n";
    let problems = read(text).unwrap_err();
    let items: Vec<_> =
        problems.iter().map(|one| (one.place.unwrap(), one.item.as_str())).collect();
    let expected = [
        ((1, 1), "layers.boundary"),
        ((1, 1), "layers.elevation"),
        ((1, 1), "stock.file"),
        ((1, 1), "keep_clear"),
        ((2, 15), "zones.min_area_ha"),
        ((3, 15), "zones.sun_months[1]"),
        ((5, 7), "mosaic.gap"),
        ((6, 1), "mosaic.speed"),
        ((7, 1), "site.name"),
        ((8, 1), "site.āhua"),
    ];
    assert_eq!(items, expected);
}

#[test]
fn a_problem_reads_well() {
    let problems = read(&with("", "[zones]\nmin_area = 0.5")).unwrap_err();
    assert_eq!(
        problems[0].to_string(),
        "farm/site.toml:17:1 zones.min_area
  found     an unknown key
  expected  one of factors, min_area_ha, slope_scale_m, slope_edges, wetness_edges, sun_edges, sun_months, straighten_m
  remedy    did you mean `min_area_ha`?"
    );
}
