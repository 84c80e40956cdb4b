//! Texts that are not TOML, and texts with many faults.

use super::super::read;
use super::{Fault, assert_found, with};

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
            ["no value", "TOML", "look at this line"],
        ),
        broken(
            "distance_m = 5",
            "distance_m =",
            (12, 13),
            "TOML",
            ["no value", "TOML", "after the `=`"],
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
  expected  one of factors, band, min_area_ha, min_width_m, min_patch_m2, slope_scale_m, slope_edges, wetness_by, wetness_edges, wetness_quantiles, sun_edges, sun_months, exposure_edges, frost_edges, straighten_m
  remedy    did you mean `min_area_ha`?"
    );
}
