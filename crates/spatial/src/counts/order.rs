//! Orders: plants to ask for, so that enough live.

/// Plants to order so that the expected number alive is what was planted for:
/// planted ÷ survival, rounded up.
///
/// `survival` is above 0 to 1. Source: common practice; 750 live at 75 % survival need 1,000.
///
/// ```
/// assert_eq!(spatial::counts::order_quantity(750, 0.75), 1_000);
/// ```
#[must_use]
pub fn order_quantity(seedlings: u64, survival: f64) -> u64 {
    let exact = seedlings as f64 / survival;
    (exact - exact * 1e-12).ceil() as u64
}

/// Takes plants out, one at a time from the largest block, until the blocks of one line order no
/// more than its supply. Rounding up each block can overshoot by less than two plants a block.
///
/// `blocks` holds (seedlings, survival); returns how many plants were taken out.
pub fn trim_to_supply(blocks: &mut [(u64, f64)], supply: u64) -> u64 {
    let total = |blocks: &[(u64, f64)]| -> u64 {
        blocks.iter().map(|(seedlings, survival)| order_quantity(*seedlings, *survival)).sum()
    };
    let mut taken = 0;
    while total(blocks) > supply {
        let Some(largest) = (0..blocks.len()).max_by_key(|at| (blocks[*at].0, usize::MAX - at))
        else {
            break;
        };
        if blocks[largest].0 == 0 {
            break;
        }
        blocks[largest].0 -= 1;
        taken += 1;
    }
    taken
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Source: 750 live stems a hectare after two years, a national planting grant of 2018–20;
    /// planted numbers by survival computed as live ÷ survival.
    #[test]
    fn planted_numbers_for_a_live_target() {
        let survivals = [0.90, 0.80, 0.75, 0.70, 0.55];
        let for_750 = [834, 938, 1_000, 1_072, 1_364];
        let for_1100 = [1_223, 1_375, 1_467, 1_572, 2_000];
        for (at, survival) in survivals.into_iter().enumerate() {
            assert_eq!(order_quantity(750, survival), for_750[at], "750 at {survival}");
            assert_eq!(order_quantity(1_100, survival), for_1100[at], "1,100 at {survival}");
        }
    }

    proptest! {
        #[test]
        fn a_trimmed_line_never_exceeds_its_supply(
            blocks in prop::collection::vec((0_u64..400, 0.5_f64..1.0), 0..20),
            supply in 0_u64..4_000,
        ) {
            let mut trimmed = blocks.clone();
            let taken = trim_to_supply(&mut trimmed, supply);
            let ordered: u64 = trimmed.iter().map(|(n, s)| order_quantity(*n, *s)).sum();
            prop_assert!(ordered <= supply);
            let before: u64 = blocks.iter().map(|(n, _)| n).sum();
            let after: u64 = trimmed.iter().map(|(n, _)| n).sum();
            prop_assert_eq!(before - after, taken);
        }
    }
}
