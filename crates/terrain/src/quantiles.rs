//! Edges of classes that hold given shares of the ground.

use crate::{GridError, Raster};

/// The two values below which the shares `quantiles` of the ground lie, such as
/// `[1.0 / 3.0, 2.0 / 3.0]` for three classes of one size.
///
/// With the n known values in rising order x₀ … xₙ₋₁ and h = (n − 1) q, the quantile is
/// x₍⌊h⌋₎ + (h − ⌊h⌋)(x₍⌊h⌋₊₁₎ − x₍⌊h⌋₎): type 7 of the reference, the usual one of R and numpy.
/// Edges by quantile move with the ground that is looked at: say so beside the classes.
///
/// # Holes
/// Holes and infinite values are left out, and so are cells that `inside` does not mark. `None`
/// when nothing is left.
///
/// # Errors
/// [`GridError::Mismatch`] when `inside` lies on another grid; [`GridError::Setting`] when a
/// quantile is not from 0 to 1 or the second is below the first.
///
/// # Cost
/// Linear, by selection, not sorting; a copy of the known values.
///
/// ```
/// use terrain::{Grid, Raster, quantile_edges};
/// let wetness = Raster::new(Grid::new(5, 1, 0.0, 0.0, 5.0, 5.0)?, vec![9.0, 1.0, 3.0, 4.0, f32::NAN])?;
/// assert_eq!(quantile_edges(&wetness, None, [0.25, 0.5])?, Some([2.5, 3.5]));
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Hyndman & Fan 1996, Sample quantiles in statistical packages.
pub fn quantile_edges(
    layer: &Raster<f32>,
    inside: Option<&Raster<bool>>,
    quantiles: [f64; 2],
) -> Result<Option<[f64; 2]>, GridError> {
    check(quantiles)?;
    let finite = |value: &f32| value.is_finite();
    let mut values: Vec<f32> = match inside {
        None => layer.cells().iter().copied().filter(finite).collect(),
        Some(inside) => {
            layer.same_grid(inside)?;
            let marked = layer.cells().iter().zip(inside.cells()).filter(|(_, inside)| **inside);
            marked.map(|(value, _)| *value).filter(finite).collect()
        }
    };
    if values.is_empty() {
        return Ok(None);
    }
    Ok(Some(quantiles.map(|share| quantile(&mut values, share))))
}

fn check([first, second]: [f64; 2]) -> Result<(), GridError> {
    for value in [first, second] {
        if !(0.0..=1.0).contains(&value) {
            return Err(GridError::Setting { what: "quantile", value, expected: "from 0 to 1" });
        }
    }
    if second < first {
        let expected = "not below the first";
        return Err(GridError::Setting { what: "second quantile", value: second, expected });
    }
    Ok(())
}

/// A quantile of values of which there is at least one; they change places.
fn quantile(values: &mut [f32], share: f64) -> f64 {
    let place = (values.len() - 1) as f64 * share;
    let (_, lower, above) = values.select_nth_unstable_by(place as usize, f32::total_cmp);
    let lower = f64::from(*lower);
    let next = above.iter().copied().min_by(f32::total_cmp).map_or(lower, f64::from);
    lower + place.fract() * (next - lower)
}
