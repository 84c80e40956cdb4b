//! Values of the wrong kind or out of range.

use super::{assert_found, fault};

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
