//! Checks of cover on made-up ground, against going through it cell by cell.
#![expect(clippy::float_cmp, reason = "the tests ask for exact values")]

use std::path::Path;

use cover::{Pattern, covered_share};
use geo::{BoundingRect, MultiPolygon, Rect};
use proptest::prelude::*;
use stock::Library;
use terrain::{Grid, Raster};

use super::judge::{Held, Judged, Owner, What};
use super::kinds::Footing;
use super::on_site::OnSite;
use super::planted::{Block, Planted};
use super::remedy::Remedy;
use super::rows::{BAND_EDGES, PieceRow, PlantedBy};
use super::verdict::{About, checked};
use crate::layout::expected_survival;
use crate::offers::fixture;
use crate::read::{Crs, KeepClearArea, Ready};
use crate::site::{CoverClass, CoverRules, Measure, Site, Treatment};
use crate::units::AreaBasis;
use crate::zones::{CellShares, SlopeGroup, cell_shares};

const COLS: usize = 10;
const ROWS: usize = 9;
const SIDE_M: f64 = 5.0;

/// Made-up ground under the rules and the stock of the sample property.
struct Made {
    site: Site,
    library: Library,
    slope_deg: Raster<f32>,
    cover: Raster<u8>,
    blocks: Vec<Vec<Block>>,
    target: f64,
    by_years: i32,
}

impl std::fmt::Debug for Made {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Made")
            .field("slope_deg", &self.slope_deg.cells())
            .field("cover", &self.cover.cells())
            .field("blocks", &self.blocks)
            .field("target", &self.target)
            .field("by_years", &self.by_years)
            .finish_non_exhaustive()
    }
}

fn sample() -> (Site, Library) {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../sample-layers"));
    let (mut site, _) = crate::site::load(folder).unwrap();
    // Counted on the map, so that a cell's own slope changes nothing.
    site.density.basis = AreaBasis::Plan;
    let library = crate::stock_file::read(&site.stock).unwrap();
    (site, library)
}

fn made() -> impl Strategy<Value = Made> {
    let cells = COLS * ROWS;
    let slopes = prop::collection::vec(prop_oneof![9 => 0.0..50.0_f32, 1 => Just(f32::NAN)], cells);
    let covers = prop::collection::vec(0_u8..9, cells);
    let block = (0_usize..3, 0_u8..4, 0.2..0.5_f64, 0.5..1.5_f64);
    let blocks = prop::collection::vec(prop::collection::vec(block, 0..3), 2);
    (slopes, covers, blocks, 0.2..0.9_f64, 2_i32..25).prop_map(
        |(slopes, covers, blocks, target, by_years)| {
            let (site, library) = sample();
            let grid = Grid::new(COLS, ROWS, 0.0, ROWS as f64 * SIDE_M, SIDE_M, SIDE_M).unwrap();
            let block = |(line, years, share, scale): (usize, u8, f64, f64)| {
                Block::made_up(line, f64::from(years), share, scale)
            };
            let blocks = blocks.into_iter().map(|zone| zone.into_iter().map(block).collect());
            Made {
                slope_deg: Raster::new(grid, slopes).unwrap(),
                cover: Raster::new(grid, covers).unwrap(),
                blocks: blocks.collect(),
                site,
                library,
                target,
                by_years,
            }
        },
    )
}

/// Two zones beside each other, and a strip below that is kept.
fn owners() -> Vec<(What, MultiPolygon<f64>)> {
    let area = |col: [usize; 2], row: [usize; 2]| {
        let north = |row: usize| (ROWS - row) as f64 * SIDE_M;
        let rect = Rect::new(
            (col[0] as f64 * SIDE_M, north(row[1])),
            (col[1] as f64 * SIDE_M, north(row[0])),
        );
        MultiPolygon::new(vec![rect.to_polygon()])
    };
    vec![
        (What::Zone(0), area([0, 4], [0, 7])),
        (What::Zone(1), area([4, COLS], [0, 7])),
        (What::Stand, area([0, COLS], [7, ROWS])),
    ]
}

fn owner_of(at: usize) -> usize {
    let (row, col) = (at / COLS, at % COLS);
    if row >= 7 { 2 } else { usize::from(col >= 4) }
}

fn rules(made: &Made) -> CoverRules {
    CoverRules {
        target: made.target,
        by_years: made.by_years,
        measure: Measure::Crown,
        least_piece_m2: 0.0,
        ..made.site.cover.clone()
    }
}

fn judged(made: &Made) -> Judged {
    let covers: Vec<CoverClass> = classes(&made.site);
    let rules = rules(made);
    let grid = made.slope_deg.grid();
    let owners = owners();
    let cells: Vec<CellShares> = owners.iter().map(|(_, area)| cell_shares(area, grid)).collect();
    let owner_at: Vec<u32> = (0..COLS * ROWS).map(|at| owner_of(at) as u32 + 1).collect();
    let footing = Footing {
        slope_deg: &made.slope_deg,
        cover: Some(&made.cover),
        terrain: None,
        ls: None,
        seeded: None,
        covers: &covers,
        terrains: &[],
        slope_edges: made.site.zones.slope_edges,
        steep_from_deg: made.site.survival.steep_from_deg,
        pattern: Pattern::Square,
        rules: &rules,
    };
    let owners = owners
        .into_iter()
        .zip(&cells)
        .map(|((what, _), cells)| Owner { id: None, what, cells })
        .collect();
    let planted = Planted {
        blocks: made.blocks.clone(),
        left: vec![String::new(); 2],
        line: vec![Some(0); 2],
        first: Some(2027),
    };
    let plan = Some((&made.site, &made.library));
    Held { footing, owners, owner_at: &owner_at, planted, plan, wait: 2.0 }
        .judge_as_scaled()
        .unwrap()
}

fn classes(site: &Site) -> Vec<CoverClass> {
    site.layers.cover.iter().flat_map(|source| &source.table).map(|row| row.class.clone()).collect()
}

/// Share of a cell protected so many years after the first planting, by a measure, as the method says it in words;
/// today, where no years are told.
fn by_hand(made: &Made, at: usize, years: Option<i32>, measure: Measure) -> f64 {
    let classes = classes(&made.site);
    let class = usize::from(made.cover.cells()[at]).checked_sub(1).map(|class| &classes[class]);
    let today = class.map_or(0.0, CoverClass::protects);
    let treatment = class.map_or(Treatment::Plant, |class| class.treatment);
    let slope = f64::from(made.slope_deg.cells()[at]);
    let rules = &made.site.cover;
    let is_scar = class.is_some_and(|class| class.name == "slip scar");
    let grown = if is_scar { rules.scar_growth } else { 1.0 };
    let zone = owner_of(at);
    let Some(years) = years.filter(|_| zone != 2 && treatment.is_planted()) else { return today };
    let (mut bare, mut is_begun) = (1.0, false);
    let (mut living, mut protecting) = (0.0, 0.0);
    for block in &made.blocks[zone] {
        let age = f64::from(years) - block.years;
        is_begun |= age >= 0.0;
        let stock = &made.library.stocks()[block.line];
        let letter = SlopeGroup::of(slope, made.site.zones.slope_edges).letter();
        let name = class.map(|class| class.name.as_str());
        let (density, _) = made.site.density.on(name, letter, &stock.id);
        let per_m2 = density.0 * block.share * block.scale / 1e4;
        let is_steep = slope > made.site.survival.steep_from_deg;
        let alive = expected_survival(class, is_steep, stock, &made.site);
        living += per_m2 * alive;
        match measure {
            Measure::Stand(curve) => protecting += per_m2 * alive * curve.at(age),
            _ if age < 0.0 => {}
            _ => {
                let radius_m = if measure == Measure::Crown {
                    &rules.crown_radius_m
                } else {
                    &rules.root_radius_m
                };
                let radius_m = radius_m.at(age) * grown;
                bare *= 1.0 - covered_share(Pattern::Square, radius_m, per_m2, alive);
            }
        }
    }
    if !is_begun {
        return today;
    }
    let (stays, gaps) = match treatment {
        Treatment::Infill => (today, class.map_or(1.0, |class| class.gap_share)),
        _ => (0.0, 1.0),
    };
    let planted = match measure {
        Measure::Stand(_) => protecting / living,
        _ => 1.0 - bare,
    };
    (stays + gaps * planted).min(1.0)
}

fn counts(made: &Made, at: usize) -> bool {
    let classes = classes(&made.site);
    let class = usize::from(made.cover.cells()[at]).checked_sub(1).map(|class| &classes[class]);
    !made.slope_deg.cells()[at].is_nan()
        && class.is_none_or(|class| class.treatment != Treatment::Never)
}

fn may_slip(made: &Made, at: usize) -> bool {
    let is_scar = made.cover.cells()[at] == 6;
    f64::from(made.slope_deg.cells()[at]) > made.site.cover.slips_above_deg || is_scar
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn figures_are_those_of_going_through_the_cells(made in made()) {
        let judged = judged(&made);
        let cell_m2 = SIDE_M * SIDE_M;
        let cells = || (0..COLS * ROWS).filter(|at| counts(&made, *at));
        let then = |at: usize| by_hand(&made, at, Some(made.by_years), Measure::Crown);
        let is_below = |at: &usize| may_slip(&made, *at) && then(*at) < made.target;
        let below = cells().filter(is_below).count() as f64 * cell_m2;
        prop_assert!((judged.below_m2 - below).abs() < 1e-6, "{} {below}", judged.below_m2);
        let pieces: f64 = judged.pieces.iter().map(|piece| piece.plan_area_ha.0 * 1e4).sum();
        prop_assert!((pieces - below).abs() < 1e-6);
        prop_assert!((judged.plan_m2 - cells().count() as f64 * cell_m2).abs() < 1e-6);
        for row in &judged.rows {
            let measure = Measure::ALL.into_iter().find(|one| one.word() == row.measure).unwrap();
            let of_class = |at: &usize| {
                let is_scar = made.cover.cells()[*at] == 6;
                let slope = f64::from(made.slope_deg.cells()[*at]);
                let letter = SlopeGroup::of(slope, made.site.zones.slope_edges).letter();
                let is_own = if is_scar { row.class == "slip_scar" } else { row.class == letter };
                is_own && (!row.may_slip_only || may_slip(&made, *at))
            };
            let (mut all, mut protected, mut below) = (0.0, 0.0, 0.0);
            let mut bands = [0.0; BAND_EDGES.len() + 1];
            // On an edge the last digit decides.
            let mut is_on_edge = false;
            for at in cells().filter(of_class) {
                let share = by_hand(&made, at, row.years, measure);
                let mut edges = BAND_EDGES.iter().chain([&made.target]);
                is_on_edge |= edges.any(|edge| (share - edge).abs() < 1e-9);
                all += cell_m2;
                protected += share * cell_m2;
                below += if may_slip(&made, at) && share < made.target { cell_m2 } else { 0.0 };
                bands[BAND_EDGES.iter().filter(|edge| share >= **edge).count()] += cell_m2;
            }
            let near = |hectares: f64, m2: f64| (hectares * 1e4 - m2).abs() < 1e-6;
            prop_assert!(near(row.plan_area_ha.0, all), "{row:?} of {all} m²");
            prop_assert!(near(row.protected_plan_ha.0, protected), "{row:?} of {protected} m²");
            prop_assert!((row.protected_share - protected / all).abs() < 1e-9);
            if is_on_edge {
                continue;
            }
            prop_assert!(near(row.below_plan_ha.0, below), "{row:?} of {below} m²");
            for (found, expected) in row.bands_plan_ha.iter().zip(bands) {
                prop_assert!(near(found.0, expected), "{row:?} of {bands:?} m²");
            }
        }
        for at in cells() {
            prop_assert!((f64::from(judged.then.cells()[at]) - then(at)).abs() < 1e-6);
        }
    }

    /// All slope groups together, and the slip scars, year by year.
    #[test]
    fn ground_that_may_slip_is_summed_by_year(made in made()) {
        let about = About {
            folder: Path::new(""),
            name: String::new(),
            inputs: vec![],
            defaults: vec![],
            by: PlantedBy::Plan,
            pattern: Pattern::Square,
            first: Some(2027),
            boundary: MultiPolygon::new(vec![]),
            cautions: vec![],
        };
        let crs = Crs::from_user("EPSG:2193").unwrap();
        let check = checked(judged(&made), about, &rules(&made), crs, vec![]).check;
        let cells: Vec<usize> =
            (0..COLS * ROWS).filter(|at| counts(&made, *at) && may_slip(&made, *at)).collect();
        let by_year = check.may_slip_by_year();
        prop_assert_eq!(by_year.iter().any(|row| row.year.is_none()), !cells.is_empty());
        for row in by_year {
            let share = |at: &usize| by_hand(&made, *at, row.year, Measure::Crown);
            let hectare = SIDE_M * SIDE_M / 1e4;
            let near = |found: f64, cells: f64| (found - cells * hectare).abs() < 1e-9;
            prop_assert!(near(row.may_slip_plan_ha.0, cells.len() as f64), "{row:?}");
            prop_assert!(near(row.protected_plan_ha.0, cells.iter().map(share).sum()), "{row:?}");
            let below = cells.iter().filter(|at| share(at) < made.target).count();
            prop_assert!(near(row.below_plan_ha.0, below as f64), "{row:?}");
        }
    }

    #[test]
    fn more_plants_and_a_lower_target_leave_no_more_below(made in made(), more in 1.0..2.0_f64, part in 0.3..1.0_f64) {
        let before = judged(&made).below_m2;
        let mut denser = Made { blocks: made.blocks.clone(), ..made };
        for block in denser.blocks.iter_mut().flatten() {
            block.scale *= more;
        }
        let closer = judged(&denser).below_m2;
        prop_assert!(closer <= before + 1e-6);
        let milder = Made { target: denser.target * part, ..denser };
        prop_assert!(judged(&milder).below_m2 <= closer + 1e-6);
    }

    #[test]
    fn a_remedy_that_is_told_to_serve_does(made in made()) {
        let judged = judged(&made);
        for piece in &judged.pieces {
            prop_assert!(piece.protected_then < made.target + 1e-9);
            if let Some(reaches) = piece.reaches_years {
                prop_assert!(reaches > made.by_years);
            }
            // Nothing is told to mend what mends itself as soon.
            if let (Some(remedy), Some(reaches)) = (piece.remedy_years, piece.reaches_years) {
                prop_assert!(remedy < reaches);
            }
            // Planting is offered where something is open; a stand is never planted.
            if piece.remedy == Some(Remedy::CloserSpacing) {
                prop_assert!(piece.remedy_plants.unwrap() > 0);
            }
            prop_assert!(piece.remedy_nzd.unwrap_or(0.0) >= 0.0);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// A line in the west of the ground, a site whose surroundings are all of it, and a stream that asks for nothing.
    #[test]
    fn pieces_near_what_asks_first_say_so(made in made()) {
        let mut pieces = judged(&made).pieces;
        let before: Vec<String> = pieces.iter().map(|piece| piece.caution.clone()).collect();
        let asks = "ask_within_m = 50\ncaution = \"Stop if anything is found.\"";
        let site = fixture::site(&[
            fixture::keep_clear("line", "power", "ask_within_m = 20"),
            fixture::keep_clear("stream", "water", ""),
            fixture::keep_clear("site", "recorded", asks),
        ].concat());
        let area = |rule: usize, ask: Option<[f64; 2]>| KeepClearArea {
            rule,
            geometry: MultiPolygon::new(vec![]),
            ask: ask.map(|[from, to]| Rect::new((from, -10.0), (to, 90.0)).into()),
        };
        let mut ready = Ready::bare(*made.slope_deg.grid(), Rect::new((0.0, 0.0), (50.0, 45.0)).into());
        ready.keep_clear = vec![area(0, Some([-9.0, 12.0])), area(1, None), area(2, Some([-9.0, 99.0]))];
        let on = OnSite { site: &site, ready: &ready, zones: &fixture::zones(&[]), slope: &made.slope_deg };
        let told = on.ask_first(&mut pieces);
        let is_west = |piece: &PieceRow| piece.geometry.bounding_rect().unwrap().min().x <= 12.0;
        for (piece, before) in pieces.iter().zip(&before) {
            let mut told = vec![];
            told.extend((!before.is_empty()).then_some(before.as_str()));
            told.extend(is_west(piece).then_some("within 20 m of line: ask first"));
            told.push("within 50 m of site: ask first");
            prop_assert_eq!(&piece.caution, &told.join("; "));
        }
        let about: Vec<_> = told.iter().map(|one| (&*one.about, &*one.text)).collect();
        let mut expected = Vec::new();
        if pieces.iter().any(is_west) {
            expected.push(("within 20 m of line", "power"));
        }
        if !pieces.is_empty() {
            expected.push(("within 50 m of site", "Stop if anything is found."));
        }
        prop_assert_eq!(about, expected);
    }
}

/// More covers and terrains than a small number of kinds could hold.
#[test]
fn many_covers_and_terrains_change_nothing() {
    let grid = Grid::new(4, 4, 0.0, 20.0, SIDE_M, SIDE_M).unwrap();
    let slopes = Raster::new(grid, (0..16).map(|at| at as f32 * 3.0).collect()).unwrap();
    let below = |before: usize, terrains: usize| {
        let (site, _) = sample();
        let class =
            |at: usize| CoverClass { name: format!("unused {at}"), ..classes(&site)[0].clone() };
        let mut covers: Vec<CoverClass> = (0..before).map(class).collect();
        covers.extend(classes(&site));
        let cover = Raster::new(grid, vec![before as u8 + 1; 16]).unwrap();
        let terrain = Raster::new(grid, vec![terrains as u8; 16]).unwrap();
        let terrains: Vec<(String, f64)> = (0..terrains).map(|at| (at.to_string(), 26.0)).collect();
        let rules = site.cover.clone();
        let footing = Footing {
            slope_deg: &slopes,
            cover: Some(&cover),
            terrain: Some(&terrain),
            ls: None,
            seeded: None,
            covers: &covers,
            terrains: &terrains,
            slope_edges: site.zones.slope_edges,
            steep_from_deg: 15.0,
            pattern: Pattern::Square,
            rules: &rules,
        };
        let cells = CellShares::whole(&grid);
        let owners = vec![Owner { id: None, what: What::All, cells: &cells }];
        let owner_at = vec![1; 16];
        let planted = Planted::default();
        let held = Held { footing, owners, owner_at: &owner_at, planted, plan: None, wait: 0.0 };
        held.judge().unwrap().below_m2
    };
    // Slopes 27 to 45 by threes: seven cells.
    assert_eq!(below(0, 1), 7.0 * 25.0);
    assert_eq!(below(200, 250), below(0, 1));
}
