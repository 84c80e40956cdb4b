//! Whole numbers from shares, by largest remainder.

/// Rounds amounts to whole numbers whose sum is the rounded sum of the amounts: each gets its
/// whole part, and the units left over go to the largest remainders (the first among equals).
///
/// Negative and non-finite amounts count as 0. Cost: O(n log n).
///
/// Source: the largest-remainder (Hamilton) method of apportionment, common knowledge.
///
/// ```
/// assert_eq!(spatial::counts::largest_remainder(&[25.806, 29.032, 25.806, 19.355]), [26, 29, 26, 19]);
/// ```
#[must_use]
pub fn largest_remainder(amounts: &[f64]) -> Vec<u64> {
    let sound: Vec<f64> =
        amounts.iter().map(|a| if a.is_finite() { a.max(0.0) } else { 0.0 }).collect();
    let mut whole: Vec<u64> = sound.iter().map(|amount| amount.floor() as u64).collect();
    let target = sound.iter().sum::<f64>().round() as u64;
    let left = target.saturating_sub(whole.iter().sum());
    let mut order: Vec<usize> = (0..sound.len()).collect();
    order.sort_by(|a, b| sound[*b].fract().total_cmp(&sound[*a].fract()).then(a.cmp(b)));
    for at in order.into_iter().take(left as usize) {
        whole[at] += 1;
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Source: Neyman allocation of 100 plots over four strata, a published exercise: 25.806,
    /// 29.032, 25.806, 19.355 become 26, 29, 26, 19.
    #[test]
    fn a_published_allocation_keeps_its_hundred() {
        assert_eq!(largest_remainder(&[25.806, 29.032, 25.806, 19.355]), [26, 29, 26, 19]);
    }

    #[test]
    fn nothing_and_nonsense_count_as_none() {
        assert!(largest_remainder(&[]).is_empty());
        assert_eq!(largest_remainder(&[f64::NAN, -3.0, f64::INFINITY, 2.0]), [0, 0, 0, 2]);
    }

    proptest! {
        #[test]
        fn seedlings_are_neither_lost_nor_invented(amounts in prop::collection::vec(0.0..5_000.0, 0..60)) {
            let whole = largest_remainder(&amounts);
            prop_assert_eq!(whole.iter().sum::<u64>(), amounts.iter().sum::<f64>().round() as u64);
            for (amount, whole) in amounts.iter().zip(whole) {
                prop_assert!((whole as f64 - amount).abs() <= 1.0);
            }
        }
    }
}
