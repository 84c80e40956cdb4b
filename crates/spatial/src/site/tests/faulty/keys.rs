//! Keys that are unknown, missing, or of the wrong shape.

use super::{assert_found, fault};

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
