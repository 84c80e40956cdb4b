//! Lines of a mixture, interleaved at their shares.

/// Which of several lines each plant is of, so that every stretch of the sequence has them in about
/// their shares and the whole has exactly their numbers.
///
/// Each plant goes to the line that lags farthest behind its share, the first among equals. No line
/// is ever a whole plant ahead of its share; some of many may be a little more than one behind.
///
/// Cost: plants × lines.
///
/// ```
/// assert_eq!(setout::interleave(&[2, 1, 1]), [0, 1, 2, 0]);
/// ```
#[must_use]
pub fn interleave(plants: &[usize]) -> Vec<usize> {
    let all: usize = plants.iter().sum();
    let mut given = vec![0; plants.len()];
    let mut turn = |done: usize| {
        // What is due after this plant less what was given, times `all` to stay whole.
        let lags = |line: usize| {
            let due = ((done + 1) as u128 * plants[line] as u128) as i128;
            due - (given[line] as u128 * all as u128) as i128
        };
        let lines = (0..plants.len()).filter(|line| given[*line] < plants[*line]);
        let next = lines.max_by(|a, b| lags(*a).cmp(&lags(*b)).then(b.cmp(a)))?;
        given[next] += 1;
        Some(next)
    };
    (0..all).filter_map(&mut turn).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn each_stretch_has_the_shares(plants in prop::collection::vec(0..60_usize, 1..6)) {
            let order = interleave(&plants);
            let all: usize = plants.iter().sum();
            prop_assert_eq!(order.len(), all);
            let mut given = vec![0_usize; plants.len()];
            for (done, line) in order.iter().enumerate() {
                given[*line] += 1;
                for (line, given) in given.iter().enumerate() {
                    let due = (done + 1) as f64 * plants[line] as f64 / all as f64;
                    prop_assert!((*given as f64 - due).abs() < plants.len() as f64, "{order:?}");
                    // All lags are one together, so that the line whose turn it is had one.
                    prop_assert!(*given as f64 - due < 1.0 - 1e-9, "{order:?}");
                }
            }
            prop_assert_eq!(given, plants);
        }
    }
    /// Two lines of three have their second turns one after the other, and two of ten wait: after 17
    /// of 28 plants 170 ÷ 28 = 6.07 are due to the second of these, which has five.
    #[test]
    fn lines_that_wait_for_others_may_be_more_than_one_behind() {
        let order = interleave(&[3, 1, 3, 10, 10, 1]);
        assert_eq!(order[14..18], [0, 2, 3, 4]);
        assert_eq!(order[..17].iter().filter(|line| **line == 4).count(), 5);
    }
}
