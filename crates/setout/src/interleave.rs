//! Lines of a mixture, interleaved at their shares.

/// Which of several lines each plant is of, so that every stretch of the sequence has them in about
/// their shares and the whole has exactly their numbers.
///
/// Each plant goes to the line that lags farthest behind its share, the first among equals. Never
/// more than one plant ahead of or behind its share.
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
                }
            }
            prop_assert_eq!(given, plants);
        }
    }
}
