//! How much each mother gives.

/// The least level such that mothers who all give up to it, as far as their limits go, give what is wanted
/// together; where the limits do not reach, the greatest of them.
///
/// Cost: O(n log n).
#[must_use]
pub fn even_level(limits: &[u64], wanted: u64) -> u64 {
    let mut rising = limits.to_vec();
    rising.sort_unstable();
    let (mut given, mut level) = (0_u64, 0);
    for (place, limit) in rising.iter().enumerate() {
        let others = (rising.len() - place) as u64;
        let step = (wanted.saturating_sub(given)).div_ceil(others).min(limit - level);
        given = given.saturating_add(step.saturating_mul(others));
        level += step;
        if given >= wanted {
            break;
        }
    }
    level
}

/// What each gives at a level: as much as any other, as far as its limit goes.
#[must_use]
pub fn up_to(limits: &[u64], level: u64) -> Vec<u64> {
    limits.iter().map(|limit| (*limit).min(level)).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn who_has_little_gives_all_and_the_others_alike() {
        for (limits, wanted, given) in [
            (vec![10, 100, 100], 90, vec![10, 40, 40]),
            (vec![10, 20], 100, vec![10, 20]),
            (vec![5, 5, 5], 7, vec![3, 3, 3]),
            (vec![0, 9], 1, vec![0, 1]),
            (vec![], 7, vec![]),
        ] {
            assert_eq!(up_to(&limits, even_level(&limits, wanted)), given);
        }
    }

    proptest! {
        #[test]
        fn a_level_is_the_least_that_suffices(limits in prop::collection::vec(0_u64..1_000, 0..30), wanted in 0_u64..20_000) {
            let level = even_level(&limits, wanted);
            let sum = |level| up_to(&limits, level).iter().sum::<u64>();
            prop_assert!(sum(level) >= wanted.min(limits.iter().sum()));
            prop_assert!(level == 0 || sum(level - 1) < wanted);
        }
    }
}
