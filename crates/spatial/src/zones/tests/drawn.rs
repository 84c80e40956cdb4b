//! Lines and zones that people drew.

use geo::{
    Area, BooleanOps, Contains, Coord, Euclidean, Length, LineString, MultiPolygon, Polygon,
};
use proptest::prelude::*;

use super::super::{Shape, Zone, rings};
use super::made_up::{Property, Seed, line, seeds, triangle};
use super::{CRUMB, Kind, middle, own, share, sizes};

/// How far each zone reaches over a line, metres: over the side on which less of it lies.
fn reach_over(property: &Property) -> Vec<f64> {
    let drawn = property.zones();
    let [from, to] = [0, 1].map(|end| property.ready.breaks.lines[0].0[end]);
    let length = (to.x - from.x).hypot(to.y - from.y);
    let reach = |zone: &Zone| {
        let mut sides = [0.0_f64; 2];
        for at in zone.geometry.iter().flat_map(|part| part.exterior().coords()) {
            let side = (to.x - from.x) * (at.y - from.y) - (to.y - from.y) * (at.x - from.x);
            sides = [sides[0].max(-side / length), sides[1].max(side / length)];
        }
        sides[0].min(sides[1])
    };
    drawn.zones.iter().map(reach).collect()
}

/// All that lies on either side of a line, as far as a property reaches.
fn sides(property: &Property) -> [Polygon<f64>; 2] {
    let [from, to] = [0, 1].map(|end| property.ready.breaks.lines[0].0[end]);
    [1.0, -1.0].map(|side| {
        let away = Coord { x: to.y - from.y, y: from.x - to.x } * side;
        Polygon::new(LineString::new(vec![from, to, to + away, from + away, from]), Vec::new())
    })
}

/// What a drawn polygon cuts off that is narrower than a cell, within it or beyond: slivers, which join a neighbour.
fn slivers(property: &Property, by_hand: &MultiPolygon<f64>) -> Vec<Polygon<f64>> {
    let grid = property.ground.grid();
    let narrowest_m = grid.cell_width().min(grid.cell_height());
    let boundary = &property.ready.boundary;
    let parts = boundary.intersection(by_hand).into_iter().chain(boundary.difference(by_hand));
    let border_m =
        |part: &Polygon<f64>| rings(part).map(|ring| Euclidean.length(ring)).sum::<f64>();
    // A part that is as wide to the millimetre of the linework is either.
    parts
        .filter(|part| 2.0 * part.unsigned_area() < (narrowest_m + 0.01) * border_m(part))
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// What is planted within a zone drawn by hand is that zone, whatever its ground; nothing beyond is.
    #[test]
    fn a_drawn_zone_is_what_was_drawn(seed in seeds(), drawn in triangle()) {
        let seed =
            Seed { is_plain: true, min_patch_m2: 0.0, line: None, drawn: Some(drawn), ..seed };
        let property = seed.property();
        let grid = property.ground.grid();
        let drawn = property.zones();
        let by_hand = MultiPolygon::new(property.ready.breaks.drawn.clone());
        let slivers = slivers(&property, &by_hand);
        let own = own(&property);
        let within: Vec<f64> = (0..own.len()).map(|at| share(&by_hand, grid, at)).collect();
        let is_kept = |kind: Kind| matches!(kind, Kind::Kept(_) | Kind::Never(_));
        let is_in = |at: usize| {
            within[at] > 1.0 - 1e-9 && own[at].is_some_and(|kind| !is_kept(kind))
        };
        let sizes = sizes(&(0..own.len()).map(|at| u32::from(is_in(at))).collect::<Vec<_>>());
        for (at, kind) in own.iter().enumerate() {
            let Some(kind) = kind else { continue };
            let middle = middle(grid, at);
            if slivers.iter().any(|sliver| sliver.contains(&middle)) {
                continue;
            }
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

    /// No zone lies on both sides of a line that was drawn across the property, but for strips beyond it that are narrower
    /// than a cell, between the line and what is not planted: as long as may be, without the middle of a cell.
    #[test]
    fn zones_keep_to_a_line(seed in seeds(), line in line()) {
        let property = Seed { line: Some(line), ..seed }.property();
        let grid = property.ground.grid();
        let cell_m = grid.cell_width().hypot(grid.cell_height());
        let sides = sides(&property);
        for zone in property.zones().zones {
            let parts = sides.each_ref().map(|side| zone.geometry.intersection(side));
            let beyond = parts.iter().min_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()));
            let widest_m = beyond.map_or(0.0, |beyond| Shape::of(beyond).widest_m);
            prop_assert!(widest_m < cell_m, "{}: {widest_m} m", zone.id);
        }
    }

    /// Where all is planted, to the millimetre of the linework.
    #[test]
    fn where_all_is_planted_lines_are_exact(seed in seeds(), line in line()) {
        let property = Seed { line: Some(line), drawn: None, ..seed }.all_planted().property();
        let reach = reach_over(&property);
        prop_assert!(reach.iter().all(|reach| *reach < 0.002), "{reach:?} m");
    }

    /// Where all is planted and nothing else is drawn, a drawn zone is the polygon that was drawn.
    #[test]
    fn where_all_is_planted_a_drawn_zone_is_exact(seed in seeds(), drawn in triangle()) {
        let seed = Seed { line: None, drawn: Some(drawn), ..seed }.all_planted();
        let property = seed.property();
        let ready = &property.ready;
        let by_hand = MultiPolygon::new(ready.breaks.drawn.clone());
        // Narrower than a cell, by twice its area over its border, it would be a sliver between lines that were meant to
        // be one: of a triangle that is half as wide as the circle in it.
        prop_assume!(ready.boundary.contains(&by_hand) && Shape::of(&by_hand).widest_m > 16.5);
        let found = property.zones();
        let [zone] = &found.zones.iter().filter(|zone| zone.is_drawn).collect::<Vec<_>>()[..] else {
            panic!("{} zones", found.zones.len())
        };
        let apart = zone.geometry.xor(&by_hand).unsigned_area();
        // A millimetre along 150 m.
        prop_assert!(apart < 0.15, "{apart} m²");
    }
}
