//! Connected ground below the target, as polygons along cells.

use geo::MultiPolygon;
use rayon::prelude::*;
use terrain::Grid;

use crate::problem::Problem;
use crate::zones::{from_partition, lattice_of};

/// Labels of connected cells of the same class, by sides, counted from 1 in the order in which a scan from
/// the north-west meets them; 0 where there is no class. Also how many there are.
///
/// Cost: two passes over the cells; equal classes are joined by a forest of labels.
pub(super) fn connected(classes: &[u32], cols: usize) -> (Vec<u32>, usize) {
    let mut labels = vec![0_u32; classes.len()];
    let mut parents = vec![0_u32];
    for (row, line) in classes.chunks(cols.max(1)).enumerate() {
        let first = row * cols;
        for (col, class) in line.iter().enumerate().filter(|(_, class)| **class != 0) {
            let at = first + col;
            let west = (col > 0 && line[col - 1] == *class).then(|| labels[at - 1]);
            let north = (row > 0 && classes[at - cols] == *class).then(|| labels[at - cols]);
            labels[at] = match (west, north) {
                (None, None) => {
                    let new = parents.len() as u32;
                    parents.push(new);
                    new
                }
                (Some(one), None) | (None, Some(one)) => one,
                (Some(west), Some(north)) => join(&mut parents, west, north),
            };
        }
    }
    // Numbers in the order of first meeting: a root is the least of its tree.
    let mut numbers = vec![0_u32; parents.len()];
    let mut count = 0;
    for label in 1..parents.len() as u32 {
        let root = root(&mut parents, label);
        if root == label {
            count += 1;
            numbers[label as usize] = count;
        } else {
            numbers[label as usize] = numbers[root as usize];
        }
    }
    labels.par_iter_mut().for_each(|label| *label = numbers[*label as usize]);
    (labels, count as usize)
}

fn root(parents: &mut [u32], label: u32) -> u32 {
    let mut at = label;
    while parents[at as usize] != at {
        parents[at as usize] = parents[parents[at as usize] as usize];
        at = parents[at as usize];
    }
    at
}

/// Joins two trees; the lesser root stays.
fn join(parents: &mut [u32], a: u32, b: u32) -> u32 {
    let (a, b) = (root(parents, a), root(parents, b));
    let (low, high) = (a.min(b), a.max(b));
    parents[high as usize] = low;
    low
}

/// The outline of each label from 1 to `count` along the cells.
///
/// # Errors
/// When coordinates are absurd.
pub(super) fn outlines(
    labels: &[u32],
    count: usize,
    grid: &Grid,
) -> Result<Vec<MultiPolygon<f64>>, Problem> {
    let mut outlines = vec![MultiPolygon::new(Vec::new()); count];
    if count == 0 {
        return Ok(outlines);
    }
    let key = |place: partition::Place| place.label.filter(|label| *label > 0).map(u64::from);
    let parted = partition::partition(labels, &lattice_of(grid), 0.0, &[], &[], key, None)
        .map_err(|error| {
            Problem::error("pieces")
                .found(error.to_string())
                .expected("ground within reach of its coordinate system")
                .remedy("check `site.crs` and the coordinate system of the elevation layer")
        })?;
    for piece in &parted.pieces {
        outlines[piece.key as usize - 1] = from_partition(&piece.polygons);
    }
    Ok(outlines)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::Area;
    use proptest::prelude::*;

    /// The same by spreading from each cell.
    fn spread(classes: &[u32], cols: usize) -> Vec<u32> {
        let mut labels = vec![0; classes.len()];
        let mut count = 0;
        for start in 0..classes.len() {
            if classes[start] == 0 || labels[start] != 0 {
                continue;
            }
            count += 1;
            let mut open = vec![start];
            while let Some(at) = open.pop() {
                if labels[at] != 0 || classes[at] != classes[start] {
                    continue;
                }
                labels[at] = count;
                open.extend(at.checked_sub(cols));
                open.extend((at % cols > 0).then(|| at - 1));
                open.extend((at % cols + 1 < cols).then_some(at + 1));
                open.extend((at + cols < classes.len()).then_some(at + cols));
            }
        }
        labels
    }

    proptest! {
        #[test]
        fn pieces_are_those_of_spreading_and_their_outlines_have_their_area(
            cols in 1_usize..9, classes in prop::collection::vec(0_u32..3, 1..64),
        ) {
            let rows = classes.len().div_ceil(cols);
            let mut classes = classes;
            classes.resize(rows * cols, 0);
            let (labels, count) = connected(&classes, cols);
            prop_assert_eq!(&labels, &spread(&classes, cols));
            let grid = Grid::new(cols, rows, 100.0, 900.0, 2.0, 2.0).unwrap();
            let outlines = outlines(&labels, count, &grid).unwrap();
            for (at, outline) in outlines.iter().enumerate() {
                let cells = labels.iter().filter(|label| **label as usize == at + 1).count();
                prop_assert!((outline.unsigned_area() - 4.0 * cells as f64).abs() < 1e-9);
            }
        }
    }
}
