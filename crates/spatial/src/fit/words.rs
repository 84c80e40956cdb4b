//! A fit in a landowner's words.

use std::fmt::Write;

use super::ZoneFit;

/// Share of the ground from which a second limit is worth a word: common practice, no source.
const WORTH_A_WORD: f64 = 0.1;

impl ZoneFit {
    /// In a landowner's words, such as `held back most by the coldest month on 62 % of the ground (too
    /// cold), by the slope on 20 % (too steep)`. A share is where that factor is the worst of all: more
    /// ground may be too steep, where cold is worse.
    #[must_use]
    pub fn sentence(&self) -> String {
        if self.order_shares.iter().all(|share| *share <= 0.0) {
            return "nothing is open to planting".to_owned();
        }
        let Some((limit, share)) = self.limiting() else {
            return format!("suits all of the ground{}", self.what_is_open());
        };
        let mut words = format!(
            "held back most by {} on {} of the ground ({})",
            limit.factor.subject(),
            percent(share),
            limit.words()
        );
        if let Some(second) = self.limits.get(1).filter(|second| second.share >= WORTH_A_WORD) {
            let factor = second.limit.factor.subject();
            // Writing to a String cannot fail.
            let _ = write!(
                words,
                ", by {factor} on {} ({})",
                percent(second.share),
                second.limit.words()
            );
        }
        words + &self.what_is_open()
    }

    /// What was not known and not counted; empty when all was.
    fn what_is_open(&self) -> String {
        self.not_known.map_or_else(String::new, |(factor, share)| {
            format!(
                ", but {} is not known on {} of it and was not counted there",
                factor.label(),
                percent(share)
            )
        })
    }
}

/// A share as a whole percentage that never rounds something to nothing or to all.
#[must_use]
pub fn percent(share: f64) -> String {
    match share * 100.0 {
        none if none <= 0.0 => "0 %".to_owned(),
        little if little < 1.0 => "under 1 %".to_owned(),
        most if most > 99.0 && most < 100.0 => "over 99 %".to_owned(),
        rest => format!("{rest:.0} %"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::LimitShare;
    use stock::{Factor, FitOrder, Limit, Side};

    #[test]
    fn a_percentage_never_hides_a_little() {
        assert_eq!(percent(0.0), "0 %");
        assert_eq!(percent(0.004), "under 1 %");
        assert_eq!(percent(0.384), "38 %");
        assert_eq!(percent(0.996), "over 99 %");
        assert_eq!(percent(1.0), "100 %");
    }

    #[test]
    fn a_sentence_names_the_side_the_share_and_what_is_not_known() {
        let limit = |factor, side, share| LimitShare {
            limit: Limit { factor, side },
            share,
            lost: share / 2.0,
        };
        let said = |limits: &[LimitShare], not_known| {
            let fit = ZoneFit {
                fit: 0.5,
                order: FitOrder::S2,
                order_shares: [0.0, 1.0, 0.0, 0.0],
                share_below: 0.0,
                limits: limits.to_vec(),
                not_known,
            };
            fit.sentence()
        };
        let cold = limit(Factor::ColdestMonthMinC, Side::TooLow, 0.62);
        let steep = limit(Factor::SlopeDeg, Side::TooHigh, 0.2);
        let wet = limit(Factor::Drainage, Side::Unsuited, 0.05);
        let one = "held back most by the coldest month on 62 % of the ground (too cold)";
        assert_eq!(said(&[cold], None), one);
        assert_eq!(said(&[cold, steep], None), format!("{one}, by the slope on 20 % (too steep)"));
        assert_eq!(said(&[cold, wet, steep], None), one, "a little is not worth a word");
        assert_eq!(said(&[], None), "suits all of the ground");
        let open = Some((Factor::FrostIndex, 0.3));
        assert_eq!(
            said(&[cold], open),
            format!(
                "{one}, but frost hollow index is not known on 30 % of it and was not counted there"
            )
        );
        assert_eq!(
            said(&[wet], None),
            "held back most by soil drainage on 5 % of the ground (soil drainage does not suit)"
        );
    }
}
