//! What is found on two pieces, worked by hand.

use cover::covered_share;
use stock::{Stock, StockKind};

use super::*;
use crate::offers::fixture;

/// Pasture, scrub of which half is open, and a stand.
const SECTIONS: &str = "[layers.cover]\nfile = \"cover.tif\"\n\
    [[layers.cover.class]]\ncode = 1\nname = \"pasture\"\ntreatment = \"plant\"\n\
    [[layers.cover.class]]\ncode = 2\nname = \"scrub\"\ntreatment = \"infill\"\ngap_share = 0.5\n\
    [[layers.cover.class]]\ncode = 3\nname = \"stand\"\ntreatment = \"keep\"\n";

/// Cover of a cell. Of the four hectares of the first zone the north-eastern has a stand on two fifths, the south-western is scrub.
fn code(row: usize, col: usize) -> u8 {
    match (row, col) {
        (0..2, 5..10) => 3,
        (5.., 0..5) => 2,
        _ => 1,
    }
}

#[test]
fn two_pieces_are_judged_by_what_stands_on_them() {
    let grid = fixture::grid(2);
    let slope_deg = Raster::filled(grid, 5.0_f32);
    let cover = Raster::from_fn(grid, code);
    let line = |id: &str, height| Stock {
        mature_height_m: height,
        ..Stock::named(id, id, StockKind::Cultivar)
    };
    let library = Library::new(vec![line("tall", Some(6.0)), line("low", None)]).unwrap();
    let (site, zones) = (fixture::site(SECTIONS), fixture::zones(&[100.0, 200.0]));
    // 3,100 plants on 3.1 ha that are open; 3,000 on three quarters of 4 ha.
    let mut planted = Planted::default();
    planted.blocks = vec![
        vec![Block::of_plants(0, 0.4, 1_240), Block::of_plants(1, 0.6, 1_860)],
        vec![Block::of_plants(1, 0.75, 3_000)],
    ];
    let ground = Ground {
        site: &site,
        library: &library,
        zones: &zones,
        planted: &planted,
        slope_deg: &slope_deg,
        cover: Some(&cover),
        pattern: Pattern::Square,
    };
    let parts = ground.parts();
    let open_m2 = ground.open_m2(&parts);
    let near = |found: f64, expected: f64| {
        assert!((found - expected).abs() < 1e-6 * expected.abs().max(1.0), "{found} {expected}");
    };
    near(open_m2[0], 31_000.0);
    near(open_m2[1], 40_000.0);
    let pieces = Ground::pieces(&parts).unwrap();
    let standing = |zone: usize| {
        let piece = pieces.iter().find(|piece| parts[piece.parts[0]].zone == zone).unwrap();
        ground.standing(piece, &parts, &open_m2)
    };

    let first = standing(0);
    assert!(first.is_whole);
    near(first.planted_m2, 40_000.0);
    near(first.lines[&0], 16_000.0);
    near(first.lines[&1], 24_000.0);
    near(first.living, 3_100.0 * 0.9);
    near(first.live_sph(), 3_100.0 * 0.9 / 4.0);
    // Crowns of two lines at ten years, each at its own density, bare where both leave the ground bare.
    let radius_m = site.cover.crown_radius_m.at(10.0);
    let bare = |per_m2: f64| 1.0 - covered_share(Pattern::Square, radius_m, per_m2, 0.9);
    let both = 1.0 - bare(0.04) * bare(0.06);
    let (least, mean) = first.barest((10.0, None));
    near(least, 0.5 * both);
    near(mean, 31_000.0 / 40_000.0 * both);
    // Of lines that reach 5 m the one; the other is not known.
    near(first.barest((10.0, Some((5.0, false)))).0, 0.5 * (1.0 - bare(0.04)));
    near(first.barest((10.0, Some((5.0, true)))).0, 0.5 * both);
    near(first.barest((10.0, Some((7.0, false)))).1, 0.0);

    let second = standing(1);
    assert!(!second.is_whole);
    near(second.planted_m2, 30_000.0);
    near(second.living, 2_700.0);
    near(second.live_sph(), 900.0);
    let (area, words) = second.area();
    near(area.least, 0.0);
    near(area.most, 3.0);
    assert_eq!(words, LEFT);
    near(first.area().0.least, 4.0);
}
