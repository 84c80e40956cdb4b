//! What honey a nectar points to: ranges, each with its reason, and no promise.

use super::{MGO_CEILING, Mgo, NormalisedDha};

/// DHA of fresh honey beside the normalised DHA of the nectar: other nectar dilutes it, and some is already
/// converted. Ours: 600 to 2,700 mg/kg in hive-fresh honeys (Atrott, Haberlau & Henle 2012, Carbohydr. Res.
/// 361:7), the least beside the richest planted nectar, 12,157, is 0.05, the most beside the richest wild
/// one, 5,111, is 0.53 (Millner et al. 2016).
pub const FRESH_SHARE: [f64; 2] = [0.05, 0.5];

/// DHA beside MGO, mg to mg, near which honey settles: then MGO stops rising (Atrott, Haberlau & Henle 2012).
pub const SETTLED_DHA_TO_MGO: f64 = 2.0;

/// Share of the ceiling that becomes MGO: all of it at best. It is below that in every system that was tried
/// (Grainger et al. 2016, part II, give no one figure); half is a guess of this program, no source.
pub const MGO_YIELD: [f64; 2] = [0.5, 1.0];

/// Ranges, mg/kg, of what honey of bees that work such nectar may come to.
///
/// How much other nectar comes in, how wet and warm honey is stored and for how long, decides more than the
/// trees do. It says nothing of any grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoneyOutlook {
    /// DHA of fresh honey.
    pub fresh_dha: [f64; 2],
    /// MGO once honey has settled.
    pub settled_mgo: [f64; 2],
    /// MGO if honey were of this nectar alone and every molecule of its DHA became it: never reached.
    pub ceiling_mgo: f64,
}

impl HoneyOutlook {
    /// Of nectar between two values.
    ///
    /// Of F mg DHA in fresh honey x are used up, which gives M = 0.800 y x of MGO at a yield y; it settles
    /// where F − x = 2 M, so M = 0.800 y F / (1 + 2 × 0.800 y).
    #[must_use]
    pub fn of(low: NormalisedDha, high: NormalisedDha) -> Self {
        let settled = |fresh: f64, share: f64| {
            let per_mg = MGO_CEILING * share;
            fresh * per_mg / (1.0 + SETTLED_DHA_TO_MGO * per_mg)
        };
        let fresh = [low.mg_per_kg() * FRESH_SHARE[0], high.mg_per_kg() * FRESH_SHARE[1]];
        Self {
            fresh_dha: fresh,
            settled_mgo: [settled(fresh[0], MGO_YIELD[0]), settled(fresh[1], MGO_YIELD[1])],
            ceiling_mgo: Mgo::ceiling_of(high).mg_per_kg(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outlook(low: f64, high: f64) -> HoneyOutlook {
        HoneyOutlook::of(NormalisedDha::new(low).unwrap(), NormalisedDha::new(high).unwrap())
    }

    /// Sources: wild nectar 4,173 and 5,111 mg/kg (Millner et al. 2016); hive-fresh honey with DHA 600 to
    /// 2,700 and MGO 50 to 250, commercial honey with DHA 130 to 1,600 and MGO 70 to 700 mg/kg (Atrott,
    /// Haberlau & Henle 2012).
    #[test]
    fn wild_nectar_points_to_honeys_that_were_found() {
        let found = outlook(4_173.0, 5_111.0);
        let overlap = |range: [f64; 2], found: [f64; 2]| range[0] < found[1] && found[0] < range[1];
        assert!(overlap(found.fresh_dha, [600.0, 2_700.0]), "{found:?}");
        assert!(overlap(found.settled_mgo, [70.0, 700.0]), "{found:?}");
        // No honey was found with more MGO than the ceiling of its kind.
        assert!(found.ceiling_mgo > 700.0);
    }

    #[test]
    fn honey_settles_at_two_to_one_and_below_the_ceiling() {
        let found = outlook(5_000.0, 5_000.0);
        assert!(
            (found.fresh_dha[0] - 250.0).abs() < 1e-9
                && (found.fresh_dha[1] - 2_500.0).abs() < 1e-9
        );
        for (fresh, mgo, share) in [
            (found.fresh_dha[0], found.settled_mgo[0], MGO_YIELD[0]),
            (found.fresh_dha[1], found.settled_mgo[1], MGO_YIELD[1]),
        ] {
            let used = mgo / (MGO_CEILING * share);
            assert!(((fresh - used) / mgo - 2.0).abs() < 1e-9);
            assert!(mgo < fresh * MGO_CEILING);
        }
        assert!((found.ceiling_mgo - 5_000.0 * 72.06 / 90.08).abs() < 1e-9);
    }
}
