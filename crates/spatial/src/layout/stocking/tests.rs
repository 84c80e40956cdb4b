//! Demand against cells looked at one by one, and survival against hand-worked cases.

use geo::{MultiPolygon, Rect};
use proptest::prelude::*;
use stock::{Library, Stock, StockKind, Survival};
use terrain::{Grid, Raster};

use super::*;
use crate::offers::fixture;
use crate::zones::cell_shares;

/// A cover of every treatment that is planted, one with a landform, and rules of every kind.
const SECTIONS: &str = "\
[layers.cover]\nfile = \"cover.tif\"\n\
[[layers.cover.class]]\ncode = 1\nname = \"pasture\"\ntreatment = \"plant\"\n\
[[layers.cover.class]]\ncode = 2\nname = \"scrub\"\ntreatment = \"infill\"\ngap_share = 0.6\n\
[[layers.cover.class]]\ncode = 3\nname = \"scar\"\ntreatment = \"plant\"\nlandform = \"slip_scar\"\n\
[[layers.cover.class]]\ncode = 4\nname = \"gorse\"\ntreatment = \"plant\"\nsurvival = 0.7\n\
[density]\nusual_sph = 1000\n\
rule = [{ line = \"own\", sph = 800 }, { slope_group = \"FG\", sph = 1600, purpose = \"erosion\" },\
 { cover = \"scar\", sph = 2500, purpose = \"erosion\" }]\n";

fn library() -> Library {
    let line = |id: &str, survival| Stock { survival, ..Stock::named(id, id, StockKind::Cultivar) };
    let own = Survival::default().with(LandformClass::SlipScar, 0.5).with(LandformClass::Toe, 0.95);
    Library::new(vec![line("plain", Survival::default()), line("own", own)]).unwrap()
}

fn ground(slopes: &[f32], covers: &[u8]) -> Ground {
    let grid = Grid::new(slopes.len(), 1, 0.0, 100.0, 100.0, 100.0).unwrap();
    let slope_deg = Raster::new(grid, slopes.to_vec()).unwrap();
    let cover = Some(Raster::new(grid, covers.to_vec()).unwrap().into());
    let elevation_m = Raster::filled(grid, 0.0);
    let mut ground = Ground::sloping(elevation_m.into(), slope_deg.into());
    ground.cover = cover;
    ground
}

/// A zone over so much of each cell, in strips along their lower border.
fn zone(shares: &[f32], ground: &Ground) -> Zone {
    let strip = |(at, share): (usize, &f32)| {
        let west = 100.0 * at as f64;
        Rect::new((west, 0.0), (west + 100.0, 100.0 * f64::from(*share))).to_polygon()
    };
    let strips: Vec<_> = shares.iter().enumerate().map(strip).collect();
    let geometry = MultiPolygon::new(strips);
    let cells = cell_shares(&geometry, ground.grid());
    Zone { cells, ..fixture::zones(&[100.0]).zones.remove(0) }
}

/// Worked by hand: what a whole hectare of one kind of ground asks for, by survival.
#[test]
fn a_line_lives_as_its_ground_and_it_say() {
    let (site, library) = (fixture::site(SECTIONS), library());
    let survival = |slope: f32, cover: u8| {
        let ground = ground(&[slope], &[cover]);
        let demand = zone_demand(&zone(&[1.0], &ground), &ground, &site, &library);
        [demand.lines[0].survival(), demand.lines[1].survival()]
    };
    let near = |found: [f64; 2], expected: [f64; 2]| {
        assert!(
            (found[0] - expected[0]).abs() < 1e-12 && (found[1] - expected[1]).abs() < 1e-12,
            "{found:?}"
        );
    };
    near(survival(5.0, 1), [0.9, 0.95]); // the site's on gentle ground; the line's own on toes
    near(survival(30.0, 1), [0.8, 0.8]); // steep: the line says nothing of mid-slopes
    near(survival(30.0, 3), [0.6, 0.5]); // usual on a scar; the line's own
    near(survival(5.0, 4), [0.7, 0.7]); // the cover's own
    near(survival(5.0, 0), [0.9, 0.95]); // cover not known
}

proptest! {
    /// Slow twin: each cell by itself.
    #[test]
    fn demand_is_the_sum_of_its_cells(
        cells in prop::collection::vec((0.0_f32..60.0, 0_u8..6, 0.01_f32..=1.0), 1..40),
        plan: bool,
    ) {
        let basis = if plan { "basis = \"plan\"\n" } else { "" };
        let site = fixture::site(&SECTIONS.replace("[density]\n", &format!("[density]\n{basis}")));
        let library = library();
        let (slopes, covers): (Vec<f32>, Vec<u8>) = cells.iter().map(|c| (c.0, c.1)).unzip();
        let shares: Vec<f32> = cells.iter().map(|c| c.2).collect();
        let ground = ground(&slopes, &covers);
        let demand = zone_demand(&zone(&shares, &ground), &ground, &site, &library);
        for (line, (own_density, toe, scar)) in [(1_000.0, 0.9, 0.6), (800.0, 0.95, 0.5)].into_iter().enumerate() {
            let (mut plants, mut order, mut open, mut all, mut days) = (0.0, 0.0, 0.0, 0.0, 0.0);
            let mut against_erosion = 0.0;
            for (slope, cover, share) in &cells {
                let (slope, share) = (f64::from(*slope), f64::from(*share));
                let gaps = if *cover == 2 { 0.6 } else { 1.0 };
                let density = match (cover, slope) {
                    (3, _) => 2_500.0,
                    (_, slope) if slope > 25.0 => 1_600.0,
                    _ => own_density,
                };
                let alive = match (cover, slope) {
                    (3, _) => scar,
                    (4, _) => 0.7,
                    (_, slope) if slope > 15.0 => 0.8,
                    _ => toe,
                };
                let stretch = if plan { 1.0 } else { 1.0 / slope.to_radians().cos() };
                plants += share * gaps * stretch * density;
                order += share * gaps * stretch * density / alive;
                days += share * gaps * stretch * density / if slope > 15.0 { 250.0 } else { 350.0 };
                let is_against = *cover == 3 || slope > 25.0;
                against_erosion += if is_against { share * gaps * stretch * density } else { 0.0 };
                (open, all) = (open + share * gaps, all + share);
            }
            let found = demand.lines[line];
            prop_assert!((found.plants - plants).abs() <= 1e-6 * plants, "{} of {plants}", found.plants);
            prop_assert!((found.order - order).abs() <= 1e-6 * order, "{} of {order}", found.order);
            prop_assert!((found.person_days - days).abs() <= 1e-6 * days, "{} of {days}", found.person_days);
            prop_assert!((demand.gap_share - open / all).abs() < 1e-6);
            let part = against_erosion / plants;
            if (part - 0.5).abs() > 1e-6 {
                prop_assert_eq!(found.purpose == Purpose::Erosion, part > 0.5, "{} of {:?}", part, found);
            }
        }
    }
}

/// A quarter of a zone at 100 plants and three quarters at 300 are 250; the larger part says what for.
#[test]
fn a_mixture_asks_for_the_mean_of_its_lines_by_their_parts() {
    let of = |plants, order| fixture::demand_of(1, plants, order).lines[0];
    let other = LineDemand { purpose: Purpose::Erosion, ..of(300.0, 400.0) };
    let zone = ZoneDemand { gap_share: 1.0, lines: vec![of(100.0, 120.0), other] };
    let mixed = zone.mixed(&[(0, 1.0), (1, 3.0)]).unwrap();
    assert!((mixed.plants - 250.0).abs() < 1e-9 && (mixed.order - 330.0).abs() < 1e-9, "{mixed:?}");
    assert!((mixed.person_days - 1.0).abs() < 1e-9, "{mixed:?}");
    assert_eq!(mixed.purpose, Purpose::Erosion);
    assert_eq!(zone.mixed(&[(0, 1.0), (1, 0.5)]).unwrap().purpose, Purpose::Honey);
    assert!(zone.mixed(&[]).is_none() && zone.mixed(&[(0, 0.0)]).is_none());
}

/// 3,000 plants take 12 days: 750 of them a quarter of it, and none none; nor does ground that asks for nothing.
#[test]
fn days_go_by_the_plants_that_are_set() {
    let demand = fixture::DEMAND;
    assert!((demand.days_of(750) - 3.0).abs() < 1e-12 && demand.days_of(0) <= 0.0);
    let nothing = LineDemand { plants: 0.0, order: 0.0, person_days: 0.0, ..demand };
    assert!(nothing.days_of(10) <= 0.0 && (nothing.survival() - 1.0).abs() < 1e-12);
}
