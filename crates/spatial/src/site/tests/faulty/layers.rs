//! Layers whose keys contradict each other.

use super::{assert_found, cover, fault};

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
