//! Which piece lies where.

use geo::{Contains, Distance, Euclidean, InteriorPoint, MultiPolygon, Point};
use proptest::prelude::*;

use super::super::{Area, ClearReason, Zones, rings, zones};
use super::made_up::{COLS, Property, Seed, seeds, triangle};
use super::{Kind, kind, share, square};

/// The kind of each cell that lies wholly on the property, outside everything that is kept clear.
fn own(property: &Property) -> Vec<Option<Kind>> {
    let grid = property.ground.grid();
    let ready = &property.ready;
    let is_own = |at: usize| {
        share(&ready.boundary, grid, at) > 1.0 - 1e-9
            && ready.keep_clear.iter().all(|area| share(&area.geometry, grid, at) < 1e-9)
    };
    (0..grid.len()).map(|at| is_own(at).then(|| kind(property, at))).collect()
}

/// Cells that hang together by their sides, by the number of each: those of which `alike` says so.
fn together(cells: usize, alike: impl Fn(usize, usize) -> bool) -> Vec<usize> {
    let mut of_cells: Vec<usize> = (0..cells).collect();
    loop {
        let before = of_cells.clone();
        for at in 0..cells {
            let east = (at % COLS + 1 < COLS).then_some(at + 1);
            let south = (at + COLS < cells).then_some(at + COLS);
            for next in [east, south].into_iter().flatten().filter(|next| alike(at, *next)) {
                let least = of_cells[at].min(of_cells[next]);
                (of_cells[at], of_cells[next]) = (least, least);
            }
        }
        if of_cells == before {
            return of_cells;
        }
    }
}

/// Whether a place lies on the border of an area, to two millimetres.
fn is_near(area: &MultiPolygon<f64>, place: Point<f64>) -> bool {
    area.iter().flat_map(rings).any(|ring| Euclidean.distance(ring, &place) < 0.002)
}

/// How many cells hang together with each.
fn sizes(parts: &[usize]) -> Vec<usize> {
    let size = |part: &usize| parts.iter().filter(|other| *other == part).count();
    parts.iter().map(size).collect()
}

/// Cells below which a piece of a zone may go to what lies beside it.
const CRUMB: usize = 4;

/// What a place is drawn as: the identifier, and the cover of a stand or of ground that is never planted.
#[derive(Debug, PartialEq)]
enum Drawn {
    Zone,
    Stand(u8),
    Clear(ClearReason),
}

fn all(drawn: &Zones) -> Vec<(Drawn, &MultiPolygon<f64>)> {
    let zones = drawn.zones.iter().map(|zone| (Drawn::Zone, &zone.geometry));
    let stands = drawn.stands.iter().map(|stand| (Drawn::Stand(stand.cover), &stand.geometry));
    let clear =
        drawn.keep_clear.iter().map(|clear| (Drawn::Clear(clear.reason.clone()), &clear.geometry));
    zones.chain(stands).chain(clear).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// The property, no more and no less; setbacks by the rules that meet there.
    #[test]
    fn pieces_fill_the_property_and_setbacks_are_exact(seed in seeds()) {
        let property = seed.property();
        let ready = &property.ready;
        let drawn = zones(ready, &property.ground, &property.site).unwrap();
        let pieces = all(&drawn);
        let sum: f64 = pieces.iter().map(|(_, area)| area.unsigned_area()).sum();
        let whole = ready.boundary.unsigned_area();
        // Half a millimetre along a border of some 600 m, where a corner of a cell lies upon it.
        prop_assert!((sum - whole).abs() < 0.3, "{sum} of {whole} m²");
        for (kind, area) in &pieces {
            for polygon in *area {
                let inside = polygon.interior_point().expect("every part has an inside");
                prop_assert!(ready.boundary.contains(&inside), "{inside:?} of {kind:?}");
            }
        }
        // Crumbs of zones may go to a setback, and never a setback to a zone.
        let grid = property.ground.grid();
        for middle in (0..grid.len()).map(|at| Point::from(square(grid, at).center())) {
            let mut rules: Vec<usize> = Vec::new();
            for area in &ready.keep_clear {
                if area.geometry.contains(&middle) {
                    rules.push(area.rule);
                }
            }
            // What lies on a line to the millimetre lies on either side of it.
            let is_on_line = ready.keep_clear.iter().any(|area| is_near(&area.geometry, middle));
            if is_on_line || is_near(&ready.boundary, middle) {
                continue;
            }
            let under = pieces.iter().find(|(_, area)| area.contains(&middle));
            match under.map(|(kind, _)| kind) {
                None | Some(Drawn::Stand(_)) => {}
                Some(Drawn::Clear(ClearReason::Setback(own))) if rules.is_empty() => {
                    prop_assert!(own.iter().all(|rule| *rule < ready.keep_clear.len()));
                }
                Some(Drawn::Clear(ClearReason::Setback(own))) => prop_assert_eq!(own, &rules),
                Some(kind) => prop_assert!(rules.is_empty(), "{kind:?} within {rules:?}"),
            }
        }
        for zone in &drawn.zones {
            prop_assert!((zone.plan_m2 - zone.geometry.unsigned_area()).abs() < 1e-9);
            let cells = (zone.plan_m2 - zone.drift_m2) / property.ground.grid().cell_area();
            prop_assert!(cells > 0.5 && (cells - cells.round()).abs() < 1e-6, "{cells} cells");
        }
    }

    /// Where nothing is straightened and no patch is too small to draw, each cell is drawn as what it is.
    #[test]
    fn cells_are_drawn_as_what_they_are(seed in seeds()) {
        let seed = Seed { is_plain: true, min_patch_m2: 0.0, line: None, drawn: None, ..seed };
        let property = seed.property();
        let grid = property.ground.grid();
        let drawn = zones(&property.ready, &property.ground, &property.site).unwrap();
        let pieces = all(&drawn);
        let own = own(&property);
        let sizes = sizes(&together(own.len(), |a, b| own[a].is_some() && own[a] == own[b]));
        for (at, kind) in own.iter().enumerate() {
            let Some(kind) = kind else { continue };
            let middle = Point::from(square(grid, at).center());
            let under: Vec<_> = pieces.iter().filter(|(_, area)| area.contains(&middle)).collect();
            prop_assert_eq!(under.len(), 1, "cell {} lies in one piece", at);
            let expected = match kind {
                // Crumbs go to what lies beside them.
                Kind::Planted(_) if sizes[at] < CRUMB => continue,
                Kind::Planted(_) => Drawn::Zone,
                Kind::Kept(cover) => Drawn::Stand(*cover),
                Kind::Never(cover) => Drawn::Clear(ClearReason::Cover(*cover)),
                Kind::Unknown => Drawn::Clear(ClearReason::Unknown),
            };
            prop_assert_eq!(&under[0].0, &expected, "cell {}: {:?}", at, kind);
        }
    }

    /// What is planted within a zone drawn by hand is that zone, whatever its ground; nothing beyond is.
    #[test]
    fn a_drawn_zone_is_what_was_drawn(seed in seeds(), drawn in triangle()) {
        let seed =
            Seed { is_plain: true, min_patch_m2: 0.0, line: None, drawn: Some(drawn), ..seed };
        let property = seed.property();
        let grid = property.ground.grid();
        let drawn = zones(&property.ready, &property.ground, &property.site).unwrap();
        let by_hand = MultiPolygon::new(property.ready.breaks.drawn.clone());
        let own = own(&property);
        let within: Vec<f64> = (0..own.len()).map(|at| share(&by_hand, grid, at)).collect();
        let is_kept = |kind: Kind| matches!(kind, Kind::Kept(_) | Kind::Never(_));
        let is_in = |at: usize| {
            within[at] > 1.0 - 1e-9 && own[at].is_some_and(|kind| !is_kept(kind))
        };
        let sizes = sizes(&together(own.len(), |a, b| is_in(a) && is_in(b)));
        for (at, kind) in own.iter().enumerate() {
            let Some(kind) = kind else { continue };
            let middle = Point::from(square(grid, at).center());
            let zone = drawn.zones.iter().find(|zone| zone.geometry.contains(&middle));
            let is_drawn = zone.is_some_and(|zone| zone.is_drawn);
            // A cell that the line cuts goes by the line, not by what most of it is.
            let is_kept_within = within[at] > 1.0 - 1e-9 && is_kept(*kind);
            if within[at] < 1e-9 || is_kept_within {
                prop_assert!(!is_drawn, "cell {}: {:?}", at, kind);
            } else if is_in(at) && sizes[at] >= CRUMB {
                prop_assert!(is_drawn, "cell {}: {:?}", at, kind);
            }
        }
    }

    /// No zone lies on both sides of a line that was drawn across the property, but for what is narrower than a cell
    /// between the line and what is not planted.
    #[test]
    fn zones_keep_to_a_line(seed in seeds()) {
        let property = seed.property();
        let drawn = zones(&property.ready, &property.ground, &property.site).unwrap();
        let grid = property.ground.grid();
        let is_all_planted = drawn.stands.is_empty() && drawn.keep_clear.is_empty();
        // The millimetre of the linework, or the diagonal of a cell.
        let far = if is_all_planted { 0.002 } else { grid.cell_width().hypot(grid.cell_height()) };
        for line in &property.ready.breaks.lines {
            let [from, to] = [line.0[0], line.0[1]];
            let length = (to.x - from.x).hypot(to.y - from.y);
            for zone in &drawn.zones {
                let mut sides = [0.0_f64; 2];
                for at in zone.geometry.iter().flat_map(|part| part.exterior().coords()) {
                    let side = (to.x - from.x) * (at.y - from.y) - (to.y - from.y) * (at.x - from.x);
                    sides[0] = sides[0].min(side / length);
                    sides[1] = sides[1].max(side / length);
                }
                prop_assert!(sides[0] > -far || sides[1] < far, "{}: {sides:?} m", zone.id);
            }
        }
    }
}
