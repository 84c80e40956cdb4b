//! 4-connected regions of equal cells.

/// The region of cells that belong to none.
pub(super) const NO_REGION: u32 = 0;

/// Numbers the 4-connected regions of equal values from 1, in the order in which a scan from the
/// north-west meets them; cells with `None` get [`NO_REGION`]. Returns the number of each cell and
/// how many regions there are.
///
/// `values` holds `cols` values a row. Cost: two passes over the cells (union–find by runs).
pub(super) fn label_regions<T: PartialEq>(values: &[Option<T>], cols: usize) -> (Vec<u32>, usize) {
    let mut labels = vec![NO_REGION; values.len()];
    let mut parents = vec![0_u32];
    for at in 0..values.len() {
        if values[at].is_none() {
            continue;
        }
        let west = (at % cols > 0 && values[at - 1] == values[at]).then(|| labels[at - 1]);
        let north = (at >= cols && values[at - cols] == values[at]).then(|| labels[at - cols]);
        labels[at] = match (west, north) {
            (Some(west), Some(north)) => union(&mut parents, west, north),
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => {
                parents.push(parents.len() as u32);
                parents.len() as u32 - 1
            }
        };
    }
    let count = renumber(&mut labels, &mut parents);
    (labels, count)
}

/// Root of a region, with the path to it halved.
fn root(parents: &mut [u32], mut one: u32) -> u32 {
    while parents[one as usize] != one {
        let up = parents[parents[one as usize] as usize];
        parents[one as usize] = up;
        one = up;
    }
    one
}

/// Joins two regions under the older root.
fn union(parents: &mut [u32], a: u32, b: u32) -> u32 {
    let (a, b) = (root(parents, a), root(parents, b));
    let (older, newer) = (a.min(b), a.max(b));
    parents[newer as usize] = older;
    older
}

/// Replaces each label by the number of its root in scan order; returns how many there are.
fn renumber(labels: &mut [u32], parents: &mut [u32]) -> usize {
    let mut numbers = vec![NO_REGION; parents.len()];
    let mut count = 0;
    for label in labels.iter_mut().filter(|label| **label != NO_REGION) {
        let root = root(parents, *label) as usize;
        if numbers[root] == NO_REGION {
            count += 1;
            numbers[root] = count;
        }
        *label = numbers[root];
    }
    count as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Slow and obvious: flood each region from its first cell.
    fn flood(values: &[Option<u8>], cols: usize) -> (Vec<u32>, usize) {
        let mut labels = vec![NO_REGION; values.len()];
        let mut count = 0;
        for start in 0..values.len() {
            if values[start].is_none() || labels[start] != NO_REGION {
                continue;
            }
            count += 1;
            let mut stack = vec![start];
            while let Some(at) = stack.pop() {
                if labels[at] != NO_REGION || values[at] != values[start] {
                    continue;
                }
                labels[at] = count;
                if at % cols > 0 {
                    stack.push(at - 1);
                }
                if at % cols + 1 < cols {
                    stack.push(at + 1);
                }
                if at >= cols {
                    stack.push(at - cols);
                }
                if at + cols < values.len() {
                    stack.push(at + cols);
                }
            }
        }
        (labels, count as usize)
    }

    #[test]
    fn corners_do_not_connect() {
        let checker = [Some(1), Some(2), Some(2), Some(1)];
        assert_eq!(label_regions(&checker, 2), (vec![1, 2, 3, 4], 4));
    }

    proptest! {
        #[test]
        fn union_find_agrees_with_flooding(
            cols in 1_usize..12,
            values in prop::collection::vec(prop::option::weighted(0.9, 0_u8..3), 0..120),
        ) {
            let rows = values.len() / cols;
            let values = &values[..rows * cols];
            prop_assert_eq!(label_regions(values, cols), flood(values, cols));
        }
    }
}
