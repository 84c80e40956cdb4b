//! Orders as nurseries take them: whole trays, at least a lot, with a spare allowance.

use std::num::NonZeroU64;

/// How an order is rounded up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OrderRules {
    /// Plants ordered beyond those needed, as a share of them: for breakage and handling. From 0 up.
    pub spare: f64,
    /// Smallest order that is taken, plants.
    pub lot: u64,
    /// Plants in a tray; orders are whole trays. 1 for single plants.
    pub tray: NonZeroU64,
}

impl Default for OrderRules {
    /// Nothing is rounded.
    fn default() -> Self {
        Self { spare: 0.0, lot: 0, tray: NonZeroU64::MIN }
    }
}

/// An order and what each rule added to it. All are plants.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct RoundedOrder {
    /// Needed, before any rule.
    pub needed: u64,
    /// Added as spares.
    pub spare: u64,
    /// Added to reach the smallest lot.
    pub lot: u64,
    /// Added to fill the last tray.
    pub tray: u64,
}

impl RoundedOrder {
    /// Plants to order.
    #[must_use]
    pub fn plants(&self) -> u64 {
        self.needed.saturating_add(self.spare).saturating_add(self.lot).saturating_add(self.tray)
    }
}

impl OrderRules {
    /// Rounds up: spares first, then to the lot, then to whole trays. Nothing needed is nothing ordered.
    ///
    /// ```
    /// use tally::OrderRules;
    /// let rules = OrderRules { spare: 0.05, lot: 250, tray: 40.try_into().unwrap() };
    /// let order = rules.rounded(212);
    /// // 5 % of 212 is 10.6, so 11; 27 more make the lot, 30 fill the seventh tray.
    /// assert_eq!((order.spare, order.lot, order.tray, order.plants()), (11, 27, 30, 280));
    /// ```
    #[must_use]
    pub fn rounded(&self, needed: u64) -> RoundedOrder {
        if needed == 0 {
            return RoundedOrder::default();
        }
        let spare = spares(needed, self.spare);
        let lot = self.lot.saturating_sub(needed.saturating_add(spare));
        let before = needed.saturating_add(spare).saturating_add(lot);
        let over = before % self.tray;
        let tray = if over == 0 { 0 } else { self.tray.get() - over };
        RoundedOrder { needed, spare, lot, tray }
    }
}

/// Share of `needed`, rounded up; a share that is no number, or below 0, gives none.
fn spares(needed: u64, share: f64) -> u64 {
    let exact = needed as f64 * share.max(0.0);
    // A share such as 0.1 is not exact: 10 % of 50 are 5.
    (exact - exact * 1e-12).ceil() as u64
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn rules(spare: f64, lot: u64, tray: u64) -> OrderRules {
        OrderRules { spare, lot, tray: tray.try_into().unwrap() }
    }

    #[test]
    fn each_rule_says_what_it_added() {
        let order = |needed, spare, lot, tray| RoundedOrder { needed, spare, lot, tray };
        for (rule, needed, rounded) in [
            (OrderRules::default(), 17, order(17, 0, 0, 0)),
            (rules(0.1, 0, 1), 50, order(50, 5, 0, 0)),
            (rules(0.1, 0, 1), 51, order(51, 6, 0, 0)),
            (rules(0.0, 1_000, 1), 60, order(60, 0, 940, 0)),
            (rules(0.0, 0, 40), 80, order(80, 0, 0, 0)),
            (rules(0.0, 0, 40), 81, order(81, 0, 0, 39)),
            (rules(0.0, 1_000, 45), 60, order(60, 0, 940, 35)),
            (rules(0.5, 1_000, 45), 0, order(0, 0, 0, 0)),
            (rules(f64::NAN, 0, 1), 9, order(9, 0, 0, 0)),
            (rules(-1.0, 0, 1), 9, order(9, 0, 0, 0)),
        ] {
            assert_eq!(rule.rounded(needed), rounded, "{needed} by {rule:?}");
        }
    }

    #[test]
    fn numbers_beyond_all_orders_do_not_wrap() {
        let order = rules(f64::INFINITY, u64::MAX, u64::MAX).rounded(u64::MAX);
        assert_eq!(order.plants(), u64::MAX);
    }

    proptest! {
        /// Slow twin: one plant more at a time until every rule holds.
        #[test]
        fn the_order_is_the_least_that_keeps_every_rule(
            needed in 1_u64..400, hundredths in 0_u64..40, lot in 0_u64..900, tray in 1_u64..120,
        ) {
            let order = rules(hundredths as f64 / 100.0, lot, tray).rounded(needed);
            let keeps = |plants: &u64| {
                plants * 100 >= needed * (100 + hundredths) && *plants >= lot && plants.is_multiple_of(tray)
            };
            prop_assert_eq!(order.needed, needed);
            prop_assert_eq!(Some(order.plants()), (needed..=needed * 3 + 1_100).find(keeps));
        }
    }
}
