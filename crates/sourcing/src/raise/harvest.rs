//! How much each mother gives.

/// Shares a demand out so that all give alike as far as their limits go: nobody gives more than its limit,
/// and who gives less than another is at its limit. When the limits do not reach, every mother gives all.
///
/// Cost: O(n log n).
#[must_use]
pub fn share_out(limits: &[u64], wanted: u64) -> Vec<u64> {
    let mut order: Vec<usize> = (0..limits.len()).collect();
    order.sort_by_key(|at| (limits[*at], *at));
    let mut given = vec![0; limits.len()];
    let mut left = wanted;
    for (place, at) in order.iter().enumerate() {
        let others = (limits.len() - place) as u64;
        // The last of equals give the one more that does not divide.
        given[*at] = limits[*at].min(left / others);
        left -= given[*at];
    }
    for at in order.iter().rev() {
        if left > 0 && given[*at] < limits[*at] {
            given[*at] += 1;
            left -= 1;
        }
    }
    given
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn who_has_little_gives_all_and_the_others_alike() {
        assert_eq!(share_out(&[10, 100, 100], 90), [10, 40, 40]);
        assert_eq!(share_out(&[10, 20], 100), [10, 20]);
        assert_eq!(share_out(&[5, 5, 5], 7), [2, 2, 3]);
        assert_eq!(share_out(&[], 7), Vec::<u64>::new());
    }

    proptest! {
        #[test]
        fn shares_are_fair(limits in prop::collection::vec(0_u64..1_000, 0..30), wanted in 0_u64..20_000) {
            let given = share_out(&limits, wanted);
            prop_assert_eq!(given.iter().sum::<u64>(), wanted.min(limits.iter().sum()));
            let most = given.iter().max().copied().unwrap_or(0);
            for (one, limit) in given.iter().zip(&limits) {
                prop_assert!(one <= limit);
                prop_assert!(one + 1 >= most || one == limit, "{given:?} of {limits:?}");
            }
        }
    }
}
