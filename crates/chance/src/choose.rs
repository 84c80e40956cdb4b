//! Which line a zone would get, found quickly.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use crate::Zone;

/// The line of each zone when zones choose in turn, the one with most to lose first: what a zone loses when
/// its best line is gone is its regret, as it stood when the zone looked last: it looks again only when its best line
/// is gone, so that it may have more to lose by then. A line serves as long as enough of it is left for all of the zone.
/// Worth of a map hectare by zone and line is what `worth` says.
///
/// A stand-in for the mosaic: it knows worth and supplies, not budgets, shares, lots or weeks in flower, and is
/// not the best. Quick enough to be made anew in each draw.
///
/// Cost: a few looks at each offer.
#[must_use]
pub fn choose(
    zones: &[Zone],
    supplies: &[Option<f64>],
    worth: impl Fn(usize, usize) -> f64,
) -> Vec<Option<usize>> {
    let mut left: Vec<f64> = supplies.iter().map(|one| one.unwrap_or(f64::INFINITY)).collect();
    let mut chosen = vec![None; zones.len()];
    let claim = |zone: usize, left: &[f64]| {
        let (mut best, mut second) = (None, 0.0_f64);
        for (line, offer) in zones[zone].offers.iter().enumerate() {
            let Some(offer) = offer.filter(|offer| offer.order <= left[line]) else { continue };
            let worth = worth(zone, line);
            match best {
                Some((_, known, _)) if worth <= known => second = second.max(worth),
                Some((_, known, _)) => {
                    second = second.max(known);
                    best = Some((line, worth, offer.order));
                }
                None if worth > 0.0 => best = Some((line, worth, offer.order)),
                None => {}
            }
        }
        best.map(|(line, worth, order)| Claim {
            regret: (worth - second) * zones[zone].area_ha,
            zone,
            line,
            order,
        })
    };
    let mut heap: BinaryHeap<Claim> =
        (0..zones.len()).filter_map(|zone| claim(zone, &left)).collect();
    while let Some(first) = heap.pop() {
        if left[first.line] >= first.order {
            // Others may have taken what came second meanwhile: then it has more to lose, and is first still.
            left[first.line] -= first.order;
            chosen[first.zone] = Some(first.line);
        } else if let Some(again) = claim(first.zone, &left) {
            heap.push(again);
        }
    }
    chosen
}

/// A zone's best line with what it loses without it.
#[derive(Debug, Clone, Copy)]
struct Claim {
    regret: f64,
    zone: usize,
    line: usize,
    order: f64,
}

impl PartialEq for Claim {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Claim {}

impl PartialOrd for Claim {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Claim {
    fn cmp(&self, other: &Self) -> Ordering {
        // Among equals the first zone.
        self.regret.total_cmp(&other.regret).then(other.zone.cmp(&self.zone))
    }
}
