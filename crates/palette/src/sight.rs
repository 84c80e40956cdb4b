//! How people see colours.

/// A kind of sight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sight {
    /// All three kinds of cones.
    Full,
    /// Without cones for long waves: red is dark, red and green are alike.
    Protan,
    /// Without cones for middle waves: red and green are alike.
    Deutan,
    /// Without cones for short waves: blue and green are alike.
    Tritan,
    /// A print in grey.
    Grey,
}

impl Sight {
    /// Every kind.
    pub const ALL: [Self; 5] = [Self::Full, Self::Protan, Self::Deutan, Self::Tritan, Self::Grey];

    /// What is seen of linear red, green and blue, 0 to 1.
    ///
    /// Source: Machado, Oliveira & Fernandes 2009, "A physiologically-based model for simulation of color vision
    /// deficiency", matrices of full severity (from memory).
    #[must_use]
    pub fn seen(self, rgb: [f64; 3]) -> [f64; 3] {
        let matrix = match self {
            Self::Full => return rgb,
            Self::Protan => [
                [0.152_286, 1.052_583, -0.204_868],
                [0.114_503, 0.786_281, 0.099_216],
                [-0.003_882, -0.048_116, 1.051_998],
            ],
            Self::Deutan => [
                [0.367_322, 0.860_646, -0.227_968],
                [0.280_085, 0.672_501, 0.047_413],
                [-0.011_820, 0.042_940, 0.968_881],
            ],
            Self::Tritan => [
                [1.255_528, -0.076_749, -0.178_779],
                [-0.078_411, 0.930_809, 0.147_602],
                [0.004_733, 0.691_367, 0.303_900],
            ],
            Self::Grey => [[0.212_672_9, 0.715_152_2, 0.072_175]; 3],
        };
        matrix.map(|row| {
            let light: f64 = row.iter().zip(rgb).map(|(weight, channel)| weight * channel).sum();
            light.clamp(0.0, 1.0)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each kind of sight keeps greys as they are: the rows of its matrix sum to 1.
    #[test]
    fn greys_stay() {
        for sight in Sight::ALL {
            for grey in [0.0, 0.3, 1.0] {
                for channel in sight.seen([grey; 3]) {
                    assert!((channel - grey).abs() < 1e-5, "{sight:?}");
                }
            }
        }
    }
}
