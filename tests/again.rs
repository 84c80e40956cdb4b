//! Ground made again under other rules, with what those leave alone taken over from before: the same to the bit as ground
//! made from nothing.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use spatial::ground::Ground;
use spatial::pipeline::{Fitted, fitted_again, fitted_from, hear};
use spatial::plan::Reach;
use spatial::problem::Problem;
use support::{scratch, small};
use terrain::Raster;

/// Rules that ask for every layer which elevation alone gives.
const ZONES: &str = "[zones]
wetness_by = \"quantiles\"
factors = [\"slope_group\", \"wetness_class\", \"sun_class\", \"exposure_class\", \"frost_class\"]
band = [
  { layer = \"profile_curvature_per_m\", edges = [-0.01, 0.01] },
  { layer = \"wind_exposure_deg\", edges = [20, 60] },
  { layer = \"sky_view_share\", edges = [0.8, 0.95] },
  { layer = \"ls_factor\", edges = [5, 20] },
]
";

/// A line that asks for one more.
const TOLERANCE: &str =
    "[stock.tolerance]\nheight_above_drainage_m = { none_below = 0, full_from = 1 }\n";

/// Rules of the ground that are not those of the small property, one of each key.
const RULES: [(&str, &str); 17] = [
    ("zones.slope_scale_m", "15"),
    ("ground.slope_formula", "\"zevenbergen_thorne\""),
    ("ground.smoothing", "\"mean\""),
    ("ground.hollows", "\"breach\""),
    ("ground.breach_longest_m", "6"),
    ("ground.breach_deepest_m", "0.2"),
    ("ground.flow", "\"steepest\""),
    ("ground.gentlest_slope_deg", "8"),
    ("ground.stream_from_ha", "0.1"),
    ("ground.horizon_m", "12"),
    ("ground.exposure_m", "12"),
    ("ground.exposure_counts", "\"above_and_below\""),
    ("ground.wind_rose", "[1, 1, 1, 2, 9, 4, 3, 1]"),
    ("ground.frost_height_m", "4"),
    ("ground.ls_form", "\"stream_power\""),
    ("ground.ls_longest_m", "20"),
    ("zones.wetness_quantiles", "[0.3, 0.6]"),
];

/// The small property with hollows, some wide and some deep, and a plan that reads every kind of layer.
fn write(folder: &Path) {
    small::write(folder);
    small::raster_f32(&folder.join("dem.tif"), 40, 40, Some("EPSG:2193"), 5.0, |row, col| {
        let depth = match (row, col) {
            (8..11, 20..24) => 9.0,
            (20, 28) => 3.0,
            (25..28, 12..15) => 14.0,
            _ => 0.0,
        };
        small::height(row, col) - depth
    });
    small::text(folder, "stock.toml", &(small::STOCK.to_owned() + TOLERANCE));
    set(folder, &[]);
}

/// The site file with some rules set.
fn set(folder: &Path, rules: &[(&str, &str)]) {
    let mut sections = BTreeMap::from([
        (
            "ground",
            "[ground]\nhorizon_m = 20\nexposure_m = 20\nstream_from_ha = 0.3\nwind_rose = [1, 1, 1, 2, 3, 4, 3, 1]\n"
                .to_owned(),
        ),
        ("zones", ZONES.to_owned() + "min_area_ha = 0.1\n"),
    ]);
    for (path, value) in rules {
        let (section, key) = path.split_once('.').unwrap();
        let text = sections.get_mut(section).unwrap();
        let kept = text.lines().filter(|line| !line.starts_with(&format!("{key} =")));
        *text = kept.map(|line| line.to_owned() + "\n").collect();
        text.push_str(&[key, " = ", value, "\n"].concat());
    }
    let old = "[ground]\nhorizon_m = 20\nexposure_m = 20\n[zones]\nmin_area_ha = 0.1\n";
    let new: String = sections.into_values().collect();
    assert!(small::SITE.contains(old));
    small::text(folder, "site.toml", &small::SITE.replace(old, &new));
}

fn fresh(folder: &Path) -> Fitted {
    let heard = hear(&folder.join("site.toml"), Reach::Orders).unwrap();
    fitted_from(heard, Reach::Orders, &mut |_| ()).unwrap()
}

fn again(folder: &Path, before: &Fitted) -> Fitted {
    let heard = hear(&folder.join("site.toml"), Reach::Orders).unwrap();
    fitted_again(before, heard, &mut |_| ()).unwrap()
}

/// Every layer by name.
fn layers(ground: &Ground) -> BTreeMap<&'static str, &Arc<Raster<f32>>> {
    let others = ground.others.iter().map(|(layer, raster)| (layer.name(), raster));
    others.chain([("slope_deg", &ground.slope_deg)]).collect()
}

fn bits(raster: &Raster<f32>) -> Vec<u32> {
    raster.cells().iter().map(|cell| cell.to_bits()).collect()
}

/// Names of the layers that are not alike.
fn apart(a: &Ground, b: &Ground) -> Vec<&'static str> {
    let (a, b) = (layers(a), layers(b));
    assert_eq!(a.keys().collect::<Vec<_>>(), b.keys().collect::<Vec<_>>());
    a.into_iter().filter(|(name, one)| bits(one) != bits(b[name])).map(|(name, _)| name).collect()
}

fn assert_same(again: &Ground, fresh: &Ground, rule: &str) {
    assert_eq!(apart(again, fresh), [""; 0], "{rule}");
    assert_eq!(again.wetness_edges, fresh.wetness_edges, "{rule}");
    assert_eq!((&again.cover, &again.drainage), (&fresh.cover, &fresh.drainage), "{rule}");
    assert_eq!((&again.near, &again.notes), (&fresh.near, &fresh.notes), "{rule}");
}

/// Each rule by itself, and then each on top of those before.
#[test]
fn ground_made_again_is_ground_made_from_nothing() {
    let folder = scratch();
    write(folder.path());
    let start = fresh(folder.path());
    let count = layers(&start.ground).len();
    assert_eq!(count, 10, "every layer but those on the way and of temperature");
    let (mut grown, mut last) = (Vec::new(), None::<Fitted>);
    for (rule, value) in RULES {
        set(folder.path(), &[(rule, value)]);
        let (one, new) = (again(folder.path(), &start), fresh(folder.path()));
        assert_same(&one.ground, &new.ground, rule);
        let (now, was) = (layers(&one.ground), layers(&start.ground));
        let taken = now.iter().filter(|(name, layer)| Arc::ptr_eq(layer, was[*name])).count();
        assert!((3..=count).contains(&taken), "{rule}: {taken} of {count} layers taken over");
        grown.push((rule, value));
        set(folder.path(), &grown);
        let on_top = again(folder.path(), last.as_ref().unwrap_or(&start));
        assert_same(&on_top.ground, &fresh(folder.path()).ground, &format!("up to {rule}"));
        last = Some(on_top);
    }
    assert_ne!(apart(&start.ground, &last.unwrap().ground), [""; 0]);
}

/// What was made for a factor that is no longer asked for is neither a layer of the ground nor told of.
#[test]
fn what_is_no_longer_asked_for_is_not_told() {
    let folder = scratch();
    write(folder.path());
    small::text(folder.path(), "stock.toml", small::STOCK);
    let start = fresh(folder.path());
    let is_of_streams = |notes: &[Problem]| notes.iter().any(|note| note.item == "drainage lines");
    assert!(is_of_streams(&start.ground.notes));
    set(folder.path(), &[("zones.factors", "[\"slope_group\"]")]);
    let (one, new) = (again(folder.path(), &start), fresh(folder.path()));
    let layers = |ground: &Ground| ground.others.keys().copied().collect::<Vec<_>>();
    assert_eq!(layers(&one.ground), layers(&new.ground));
    assert_same(&one.ground, &new.ground, "fewer factors");
    assert!(!is_of_streams(&one.ground.notes));
}

/// A rule that changed no layer of the small property would show nothing above.
#[test]
fn every_rule_changes_a_layer() {
    let folder = scratch();
    write(folder.path());
    for (rule, value) in RULES {
        let beside: &[(&str, &str)] =
            if rule.contains("breach") { &[("ground.hollows", "\"breach\"")] } else { &[] };
        set(folder.path(), beside);
        let before = fresh(folder.path());
        set(folder.path(), &[beside, &[(rule, value)]].concat());
        let new = fresh(folder.path());
        let edges = before.ground.wetness_edges != new.ground.wetness_edges;
        assert!(edges || !apart(&before.ground, &new.ground).is_empty(), "{rule}");
    }
}
