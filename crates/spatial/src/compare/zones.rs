//! Zones that are the same, redrawn, new and gone: by where they lie, not by their names.

use std::collections::BTreeMap;

use geo::Area;

use super::ground::Part;
use super::overlay::Piece;
use super::rows::{ZoneChangeRow, ZoneCounts};
use crate::units::M2_PER_HA;

/// A zone is redrawn where each of two holds this share of the other or more; more than half of both pairs at most one.
const REDRAWN_SHARE: f64 = 0.5;

/// How many zones are what, and those that are not the same: redrawn, gone, new, each in the order of the plans.
pub(super) fn matched(
    from: &[Part],
    to: &[Part],
    pieces: &[Piece],
) -> (ZoneCounts, Vec<ZoneChangeRow>) {
    let mut shared: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    let (mut same_from, mut same_to) = (vec![false; from.len()], vec![false; to.len()]);
    for piece in pieces {
        let (Some(a), Some(b)) = (piece.from, piece.to) else { continue };
        if !(from[a].is_zone && to[b].is_zone) {
            continue;
        }
        if piece.is_same {
            (same_from[a], same_to[b]) = (true, true);
        } else {
            *shared.entry((a, b)).or_default() += piece.area.unsigned_area();
        }
    }
    let (mut partner_of, mut partner_to) = (vec![None; from.len()], vec![None; to.len()]);
    // The widest first: of two that hold just half each the first is taken.
    let mut pairs: Vec<((usize, usize), f64)> =
        shared.iter().map(|(pair, area)| (*pair, *area)).collect();
    pairs.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    for ((a, b), area) in pairs {
        let most = from[a].area.unsigned_area().max(to[b].area.unsigned_area());
        if area >= REDRAWN_SHARE * most && partner_of[a].is_none() && partner_to[b].is_none() {
            (partner_of[a], partner_to[b]) = (Some(b), Some(a));
        }
    }
    let hectares = |part: &Part| part.area.unsigned_area() / M2_PER_HA;
    let most_shared = |wanted: &dyn Fn(&(usize, usize)) -> bool| {
        let areas =
            shared.iter().filter(|(pair, _)| wanted(pair)).map(|(_, area)| area / M2_PER_HA);
        areas.fold(0.0, f64::max)
    };
    let (mut rows, mut gone) = (Vec::new(), Vec::new());
    for (a, part) in from.iter().enumerate().filter(|(a, part)| part.is_zone && !same_from[*a]) {
        match partner_of[a] {
            Some(b) => rows.push(ZoneChangeRow {
                change: "redrawn",
                a_zone: Some(part.id.clone()),
                b_zone: Some(to[b].id.clone()),
                a_plan_ha: Some(hectares(part)),
                b_plan_ha: Some(hectares(&to[b])),
                shared_plan_ha: shared.get(&(a, b)).copied().unwrap_or_default() / M2_PER_HA,
            }),
            None => gone.push(ZoneChangeRow {
                change: "gone",
                a_zone: Some(part.id.clone()),
                b_zone: None,
                a_plan_ha: Some(hectares(part)),
                b_plan_ha: None,
                shared_plan_ha: most_shared(&|pair| pair.0 == a),
            }),
        }
    }
    let is_new =
        |(b, part): &(usize, &Part)| part.is_zone && !same_to[*b] && partner_to[*b].is_none();
    let new = to.iter().enumerate().filter(is_new).map(|(b, part)| ZoneChangeRow {
        change: "new",
        a_zone: None,
        b_zone: Some(part.id.clone()),
        a_plan_ha: None,
        b_plan_ha: Some(hectares(part)),
        shared_plan_ha: most_shared(&|pair| pair.1 == b),
    });
    let new: Vec<ZoneChangeRow> = new.collect();
    let same = same_from.iter().filter(|same| **same).count();
    let counts = ZoneCounts { same, redrawn: rows.len(), new: new.len(), gone: gone.len() };
    rows.extend(gone.into_iter().chain(new));
    (counts, rows)
}
