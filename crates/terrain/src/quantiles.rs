//! Values that a share of the ground does not exceed.

/// The values below which two shares of the known cells lie; `None` when no cell is known.
///
/// A share that falls between two cells is interpolated between them in a straight line: type 7 of
/// Hyndman & Fan 1996, Sample quantiles in statistical packages, which is the default of most
/// statistical software. Holes and infinite values are left out; `cells` is put into another order.
///
/// # Cost
/// Linear in cells.
///
/// ```
/// use terrain::quantiles;
/// assert_eq!(quantiles(&mut [4.0, 1.0, f32::NAN, 2.0, 3.0], [0.5, 1.0]), Some([2.5, 4.0]));
/// assert_eq!(quantiles(&mut [f32::NAN], [0.5, 1.0]), None);
/// ```
#[must_use]
pub fn quantiles(cells: &mut [f32], shares: [f64; 2]) -> Option<[f64; 2]> {
    let known = known_first(cells);
    let cells = cells.get_mut(..known).filter(|known| !known.is_empty())?;
    Some(shares.map(|share| quantile(cells, share)))
}

/// Moves the known values to the front and says how many there are.
fn known_first(cells: &mut [f32]) -> usize {
    let mut known = 0;
    for at in 0..cells.len() {
        if cells[at].is_finite() {
            cells.swap(known, at);
            known += 1;
        }
    }
    known
}

fn quantile(cells: &mut [f32], share: f64) -> f64 {
    let place = share.clamp(0.0, 1.0) * (cells.len() - 1) as f64;
    let (_, low, above) = cells.select_nth_unstable_by(place.floor() as usize, f32::total_cmp);
    let low = f64::from(*low);
    let next = above.iter().copied().min_by(f32::total_cmp).map_or(low, f64::from);
    low + (next - low) * place.fract()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `numpy.quantile` of numpy 2 with its default method on the same numbers.
    #[test]
    fn quantiles_agree_with_numpy() {
        let values = [3.5_f32, -1.25, 8.0, 2.0, 2.0, 7.75, 0.5];
        for (shares, expected) in [([0.1, 0.7], [-0.2, 4.35]), ([0.25, 0.95], [1.25, 7.925])] {
            let found = quantiles(&mut values.clone(), shares).unwrap();
            for (found, expected) in found.into_iter().zip(expected) {
                assert!((found - expected).abs() < 1e-9, "{found} {expected}");
            }
        }
    }
}
