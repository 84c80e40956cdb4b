//! Several traits as one: the index by which mothers are chosen.

use nalgebra::{DMatrix, DVector};
use thiserror::Error;

/// An index of traits.
#[derive(Debug, Clone, PartialEq)]
pub struct Index {
    /// Weight of each measured trait.
    pub weights: Vec<f64>,
    /// Variance of the index, b′Pb.
    pub variance: f64,
    /// Variance of the worth that is aimed at, a′Ga, in its own unit; 0 where no worth is set (gains wanted).
    pub worth_variance: f64,
    /// Covariance of each trait's breeding value with the index, G′b.
    covariances: Vec<f64>,
}

/// Why there is no index.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum IndexError {
    /// Sizes do not go together.
    #[error("matrices and weights of different sizes")]
    Sizes,
    /// Traits tell the same, or a variance is not over 0.
    #[error("a trait without variance, or one that others already tell whole")]
    Singular,
}

impl Index {
    /// Correlation of the index with the worth that is aimed at; 0 where there is none.
    #[must_use]
    pub fn accuracy(&self) -> f64 {
        let of = self.variance / self.worth_variance;
        if of.is_finite() && of > 0.0 { of.sqrt() } else { 0.0 }
    }

    /// Gain in worth when parents of both sides are chosen with so much intensity: i √(b′Pb).
    #[must_use]
    pub fn response(&self, intensity: f64) -> f64 {
        intensity * self.variance.sqrt()
    }

    /// Gain in each trait, in the same way: i G′b / √(b′Pb).
    #[must_use]
    pub fn trait_gains(&self, intensity: f64) -> Vec<f64> {
        let deviation = self.variance.sqrt();
        let gain = |covariance: &f64| {
            if deviation > 0.0 { intensity * covariance / deviation } else { 0.0 }
        };
        self.covariances.iter().map(gain).collect()
    }
}

/// The index of the greatest gain in worth: b = P⁻¹ G a.
///
/// `phenotypic` is m × m for m measured traits, `genetic` m × t with the breeding values of t traits,
/// `worth` has t values, each in its trait's unit.
///
/// ```
/// use nalgebra::DMatrix;
/// let p = DMatrix::from_row_slice(2, 2, &[100.0, 20.0, 20.0, 25.0]);
/// let g = DMatrix::from_row_slice(2, 2, &[40.0, 8.0, 8.0, 5.0]);
/// let index = sourcing::select::smith_hazel(&p, &g, &[1.0, 2.0])?;
/// assert!((index.weights[0] - 0.495238).abs() < 1e-6 && (index.weights[1] - 0.323810).abs() < 1e-6);
/// # Ok::<(), sourcing::select::IndexError>(())
/// ```
///
/// # Errors
/// When sizes differ or the traits do not tell enough.
///
/// Sources: Smith 1936, Annals of Eugenics 7:240; Hazel 1943, Genetics 28:476 (both from memory).
pub fn smith_hazel(
    phenotypic: &DMatrix<f64>,
    genetic: &DMatrix<f64>,
    worth: &[f64],
) -> Result<Index, IndexError> {
    if genetic.ncols() != worth.len() {
        return Err(IndexError::Sizes);
    }
    let aim = genetic * DVector::from_column_slice(worth);
    let weights = solve(phenotypic, &aim)?;
    let full = (genetic.nrows() == genetic.ncols()).then(|| {
        let worth = DVector::from_column_slice(worth);
        (worth.transpose() * genetic * &worth)[0]
    });
    Ok(index(phenotypic, genetic, &weights, full.unwrap_or(0.0)))
}

/// The index that moves traits in the proportions wanted: b = G⁻¹ d.
///
/// # Errors
/// When sizes differ, or breeding values of one trait are told whole by the others.
///
/// Source: Pesek & Baker 1969, Canadian J. Plant Science 49:803 (from memory).
pub fn desired_gains(
    phenotypic: &DMatrix<f64>,
    genetic: &DMatrix<f64>,
    wanted: &[f64],
) -> Result<Index, IndexError> {
    if genetic.ncols() != wanted.len() || phenotypic.nrows() != genetic.nrows() {
        return Err(IndexError::Sizes);
    }
    let weights = solve(genetic, &DVector::from_column_slice(wanted))?;
    Ok(index(phenotypic, genetic, &weights, 0.0))
}

fn index(p: &DMatrix<f64>, g: &DMatrix<f64>, b: &DVector<f64>, worth_variance: f64) -> Index {
    let variance = (b.transpose() * p * b)[0].max(0.0);
    let covariances = g.transpose() * b;
    Index {
        weights: b.as_slice().to_vec(),
        variance,
        worth_variance,
        covariances: covariances.as_slice().to_vec(),
    }
}

/// Solves for a symmetric matrix that is positive definite.
fn solve(matrix: &DMatrix<f64>, right: &DVector<f64>) -> Result<DVector<f64>, IndexError> {
    if matrix.nrows() != matrix.ncols() || matrix.nrows() != right.len() {
        return Err(IndexError::Sizes);
    }
    let scale = matrix.diagonal().map(|one| if one > 0.0 { one.sqrt() } else { 0.0 });
    if scale.iter().any(|one| *one <= 0.0) {
        return Err(IndexError::Singular);
    }
    // As correlations, so that units do not decide what counts as nothing.
    let of = DMatrix::from_fn(matrix.nrows(), matrix.ncols(), |a, b| {
        matrix[(a, b)] / (scale[a] * scale[b])
    });
    let factor = of.cholesky().ok_or(IndexError::Singular)?;
    if factor.l().diagonal().iter().any(|pivot| *pivot < 1e-6) {
        return Err(IndexError::Singular);
    }
    Ok(factor.solve(&right.component_div(&scale)).component_div(&scale))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square<const N: usize>(rows: [[f64; N]; N]) -> DMatrix<f64> {
        DMatrix::from_row_slice(N, N, &rows.concat())
    }

    /// Worked outside the program.
    #[test]
    fn two_traits_worked_by_hand() {
        let (p, g) = (square([[100.0, 20.0], [20.0, 25.0]]), square([[40.0, 8.0], [8.0, 5.0]]));
        let index = smith_hazel(&p, &g, &[1.0, 2.0]).unwrap();
        let near = |found: f64, expected: f64| assert!((found - expected).abs() < 6e-6, "{found}");
        near(index.weights[0], 0.495_238);
        near(index.weights[1], 0.323_810);
        near(index.variance, 33.561_90);
        near(index.worth_variance, 92.0);
        near(index.accuracy(), 0.603_989);
        near(index.response(1.755), 10.167_18);
        let gains = index.trait_gains(1.755);
        near(gains[0], 6.785_81);
        near(gains[1], 1.690_68);
        near(gains[0] + 2.0 * gains[1], 10.167_18);
    }

    /// Source: worked example of an open package of selection indices (G = 1.5 I − 0.5, E = I, a = 1, 1).
    #[test]
    fn a_third_of_each() {
        let (p, g) = (square([[2.0, -0.5], [-0.5, 2.0]]), square([[1.0, -0.5], [-0.5, 1.0]]));
        let index = smith_hazel(&p, &g, &[1.0, 1.0]).unwrap();
        assert!(index.weights.iter().all(|b| (b - 1.0 / 3.0).abs() < 1e-7), "{index:?}");
    }

    /// Genotypic covariances of seven traits, to the four decimals that an open package of selection indices
    /// prints in its worked example (from memory); phenotypic variance of the first trait 4.6597, of the
    /// others from the printed heritabilities.
    const G7: [[f64; 7]; 7] = [
        [1.2566, 0.3294, 0.1588, 0.2430, 0.7350, 0.1276, 0.0926],
        [0.3294, 1.5602, 0.1734, -0.3129, -0.2331, 0.1168, 0.0330],
        [0.1588, 0.1734, 0.1325, -0.0316, 0.3201, -0.0086, -0.0124],
        [0.2430, -0.3129, -0.0316, 0.2432, 0.3019, -0.0209, 0.0074],
        [0.7350, -0.2331, 0.3201, 0.3019, 0.9608, -0.0692, -0.0582],
        [0.1276, 0.1168, -0.0086, -0.0209, -0.0692, 0.0174, 0.0085],
        [0.0926, 0.0330, -0.0124, 0.0074, -0.0582, 0.0085, 0.0103],
    ];

    /// Source: the same example, one trait measured at a time, all worth 1, intensity 2.063: its printed
    /// weights, gains, accuracies and heritabilities, 28 figures. Inputs have four decimals, so the least of
    /// them bear three digits.
    #[test]
    fn seven_traits_of_a_published_example() {
        let heritability = [0.2697, 0.2242, 0.2690, 0.2549, 0.1553, 0.1471, 0.2385];
        let weights = [0.6316, 0.2396, 1.4869, 0.4507, 0.3164, 1.4499, 1.8796];
        let gains = [2.8125, 1.3036, 2.1526, 0.9084, 1.6236, 1.0292, 0.8061];
        let accuracies = [0.4825, 0.2237, 0.3693, 0.1558, 0.2786, 0.1766, 0.1383];
        let total: f64 = G7.iter().flatten().sum();
        assert!((total - 7.982_141).abs() < 2e-3, "variance of the worth: {total}");
        for at in 0..7 {
            let own = G7[at][at];
            let variance = if at == 0 { 4.659_693_2 } else { own / heritability[at] };
            assert!((own / variance - heritability[at]).abs() < 6e-5);
            let p = DMatrix::from_element(1, 1, variance);
            let g = DMatrix::from_row_slice(1, 7, &G7[at]);
            let index = smith_hazel(&p, &g, &[1.0; 7]).unwrap();
            let near = |found: f64, expected: f64| {
                assert!(
                    (found / expected - 1.0).abs() < 3e-3,
                    "trait {at}: {found} beside {expected}"
                );
            };
            near(index.weights[0], weights[at]);
            near(index.response(2.063), gains[at]);
            near((index.variance / total).sqrt(), accuracies[at]);
            // By its own worth alone: the first trait's gain is printed as 1.2009.
            if at == 0 {
                let alone =
                    smith_hazel(&p, &DMatrix::from_element(1, 1, 1.256_602_1), &[1.0]).unwrap();
                assert!((alone.response(2.063) - 1.2009).abs() < 6e-5);
            }
        }
    }

    #[test]
    fn gains_come_in_the_proportions_wanted() {
        let (p, g) = (square([[100.0, 20.0], [20.0, 25.0]]), square([[40.0, 8.0], [8.0, 5.0]]));
        let index = desired_gains(&p, &g, &[3.0, -1.0]).unwrap();
        let gains = index.trait_gains(1.0);
        assert!((gains[0] / gains[1] + 3.0).abs() < 1e-9, "{gains:?}");
    }

    #[test]
    fn what_tells_nothing_is_refused() {
        let (same, none) = (square([[1.0, 1.0], [1.0, 1.0]]), square([[1.0, 0.0], [0.0, 0.0]]));
        let g = square([[1.0, 0.0], [0.0, 1.0]]);
        for p in [same, none] {
            assert_eq!(smith_hazel(&p, &g, &[1.0, 1.0]), Err(IndexError::Singular));
        }
        assert_eq!(smith_hazel(&g, &g, &[1.0]), Err(IndexError::Sizes));
    }
}
