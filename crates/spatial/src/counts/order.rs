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

#[cfg(test)]
mod tests {
    use super::*;

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
}
