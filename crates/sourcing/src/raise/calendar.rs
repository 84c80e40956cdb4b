//! When seed is gathered and sown, and which winter has the plants.

pub use almanac::Month;

/// The first of these months of the year from a month on.
fn on_to(month: Month, [from, to]: [u8; 2]) -> Month {
    match month.month {
        early if early < from => Month { month: from, ..month },
        late if late > to => Month { year: month.year + 1, month: from },
        _ => month,
    }
}

/// Months of the southern year in which things are done, first and last.
mod window {
    /// Closed grey-brown capsules of last year's wood, late summer to winter: common practice, no source.
    /// Seed is shed all year, most in October and January (NZ J. Botany 1984, 22:103).
    pub(super) const GATHER: [u8; 2] = [2, 8];
    /// Sown March to August (a community nursery's guide).
    pub(super) const SOW: [u8; 2] = [3, 8];
    /// Planted in winter, June to September.
    pub(super) const PLANT: [u8; 2] = [6, 9];
}

/// Months from the last sample to the laboratory's figures, and from capsules to seed that can be sown.
/// Choices, no source.
const AFTER_SAMPLING: i32 = 1;
const AFTER_GATHERING: i32 = 1;

/// The longest that contract nurseries ask for from start to planting, months: "two years or more"
/// (Department of Conservation).
pub const CONTRACT_MONTHS: u32 = 24;

/// When things are done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Calendar {
    /// Capsules gathered: first and last month.
    pub gather: [Month; 2],
    /// Seed sown: first month, and the last from which plants are ready for the same winter.
    pub sow: [Month; 2],
    /// Year of the first winter that has plants.
    pub first_winter: i32,
    /// Year of the winter when a sowing fails or is missed and another year's must do.
    pub after_a_lost_year: i32,
    /// Year of the winter by the lead time that contract nurseries ask for, from the last sample.
    pub by_contract: i32,
}

/// Reckons when trees that were last sampled in some month give plants. `nursery_months`: from sowing to
/// planting. Months are those of the southern hemisphere, where mānuka grows wild.
#[must_use]
pub fn calendar(sampled: Month, nursery_months: u32) -> Calendar {
    let known = sampled.plus(AFTER_SAMPLING);
    let gather = on_to(known, window::GATHER);
    let sow = on_to(gather.plus(AFTER_GATHERING), window::SOW);
    let planted = |begun: Month, months: u32| {
        on_to(begun.plus(i32::try_from(months).unwrap_or(i32::MAX)), window::PLANT).year
    };
    let winter = |sown: Month| planted(sown, nursery_months);
    let first_winter = winter(sow);
    let season = (0..12).map(|months| sow.plus(months));
    let in_time = |sown: &Month| {
        (window::SOW[0]..=window::SOW[1]).contains(&sown.month) && winter(*sown) == first_winter
    };
    let last = season.take_while(in_time).last().unwrap_or(sow);
    let next = Month { year: sow.year + 1, month: window::SOW[0] };
    // Gathered in time for the last sowing.
    let ready = last.plus(-AFTER_GATHERING);
    let gather_end = Month { year: gather.year, month: window::GATHER[1] }.min(ready).max(gather);
    Calendar {
        gather: [gather, gather_end],
        sow: [sow, last],
        first_winter,
        after_a_lost_year: winter(next).max(first_winter + 1),
        by_contract: planted(sampled, CONTRACT_MONTHS),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const fn month(year: i32, month: u8) -> Month {
        Month { year, month }
    }

    /// Source: a community nursery's guide: sown March to August, planted the following May or June.
    #[test]
    fn sampled_in_summer_planted_the_winter_after_next() {
        let found = calendar(month(2027, 1), 12);
        assert_eq!(found.gather, [month(2027, 2), month(2027, 7)]);
        assert_eq!(found.sow, [month(2027, 3), month(2027, 8)]);
        assert_eq!(
            (found.first_winter, found.after_a_lost_year, found.by_contract),
            (2028, 2029, 2029)
        );
        // Nine months from an August sowing is May: still that winter.
        assert_eq!(calendar(month(2027, 1), 9).first_winter, 2028);
        // Slow plants: sown in March they are ready in the September after next, sown later they are not.
        let slow = calendar(month(2027, 1), 18);
        assert_eq!((slow.first_winter, slow.sow), (2028, [month(2027, 3), month(2027, 3)]));
    }

    #[test]
    fn figures_that_come_late_wait_for_the_next_capsules() {
        let found = calendar(month(2026, 12), 12);
        assert_eq!((found.gather[0], found.sow[0]), (month(2027, 2), month(2027, 3)));
        let late = calendar(month(2026, 9), 12);
        assert_eq!((late.gather[0], late.first_winter), (month(2027, 2), 2028));
    }

    proptest! {
        #[test]
        fn things_come_in_order(year in 1990_i32..2100, at in 1_u8..13, nursery in 1_i32..61) {
            let sampled = month(year, at);
            let found = calendar(sampled, nursery.unsigned_abs());
            prop_assert!(sampled < found.gather[0] && found.gather[0] <= found.gather[1]);
            prop_assert!(found.gather[0] < found.sow[0] && found.sow[0] <= found.sow[1]);
            let ready = found.sow[0].plus(nursery);
            prop_assert!(month(found.first_winter, 9) >= ready);
            prop_assert!(month(found.first_winter - 1, 9) < ready, "no winter is missed");
            prop_assert!(found.after_a_lost_year > found.first_winter);
            prop_assert_eq!(sampled.plus(nursery).since(sampled), nursery);
        }
    }
}
