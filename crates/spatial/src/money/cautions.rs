//! What goes with every figure of money.

use super::cash::Cash;
use crate::checks::BriefCaution;

/// In one line, for every file.
pub(super) const SHORT: &str =
    "the site's own figures put together: no forecast, no quotation, no promise of income";

/// A caution and when it is told.
pub(super) struct Told {
    about: &'static str,
    text: &'static str,
    /// Where income or carbon is counted alone.
    with_income: bool,
}

/// Usual cautions of the trade; common practice, no source.
pub(super) const CAUTIONS: [Told; 4] = [
    Told {
        about: "no promise",
        text: "these are the site's own figures put together; they are no forecast, no quotation and no advice: ask \
               contractors for prices, and have the whole looked at by an accountant",
        with_income: false,
    },
    Told {
        about: "work on hard ground",
        text: "steep, wet or remote ground costs more than a mean says, and some of it should not be worked at all: \
               spraying, tracks and work on slopes are for local rules and licensed people to settle",
        with_income: false,
    },
    Told {
        about: "income",
        text: "nectar, bees, weather, neighbours' hives and prices swing from year to year, and planted stands may \
               never bring what was hoped for: look at the low case first",
        with_income: true,
    },
    Told {
        about: "carbon",
        text: "whether ground can earn anything for carbon, from when, and what is owed when plants die, burn or are \
               cleared, is for the authority and licensed advisers to say",
        with_income: true,
    },
];

impl Told {
    pub(super) fn is_for(&self, cash: &Cash) -> bool {
        !self.with_income || cash.has_income()
    }

    pub(super) fn told(&self) -> BriefCaution {
        BriefCaution::new(self.about, self.text)
    }
}
