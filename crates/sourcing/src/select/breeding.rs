//! What a tree hands down, from all that was recorded of it.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};

use super::index::{Index, IndexError, desired_gains, smith_hazel};

/// What is known of one trait.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trait {
    /// Variance between trees of a stand.
    pub between: f64,
    /// Variance of one record of a tree.
    pub error: f64,
    /// Share of the variance of one record within a stand that is handed down, 0 to 1.
    pub heritability: f64,
    /// For one standard deviation between trees: its worth, or the gain wanted in it.
    pub worth: f64,
}

impl Trait {
    /// Variance of breeding values; never over that between trees, which holds all that a tree has of its
    /// own: repeatability is the upper bound of heritability.
    #[must_use]
    pub fn genetic(&self) -> f64 {
        (self.heritability * (self.between + self.error)).min(self.between)
    }

    /// Share of the variance of one record within a stand that lies between trees.
    #[must_use]
    pub fn repeatability(&self) -> f64 {
        self.between / (self.between + self.error)
    }

    /// Share of the variance of one record that breeding values make up: heritability, or repeatability where
    /// that is less.
    #[must_use]
    pub fn genetic_share(&self) -> f64 {
        self.genetic() / (self.between + self.error)
    }

    /// Whether heritability was above what repeatability allows.
    #[must_use]
    pub fn is_capped(&self) -> bool {
        self.heritability * (self.between + self.error) > self.between * (1.0 + 1e-9)
    }
}

/// How traits become one worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// Worth of each.
    Weights,
    /// Gains wanted of each, in proportion.
    Gains,
}

/// Traits and how they go together.
#[derive(Debug, Clone)]
pub struct Breeding {
    traits: Vec<Trait>,
    correlation: DMatrix<f64>,
    /// Worth of one unit of the breeding value of each trait.
    unit_worth: DVector<f64>,
    /// The index of a tree with one record of every trait.
    index: Index,
    solved: BTreeMap<Vec<u32>, Option<Solved>>,
}

/// For one pattern of records: breeding values from deviations, and what they leave open.
#[derive(Debug, Clone)]
struct Solved {
    /// Traits × recorded traits.
    regression: DMatrix<f64>,
    open: f64,
}

/// What one tree hands down.
#[derive(Debug, Clone, PartialEq)]
pub struct Inheritance {
    /// Breeding value of each trait beside the mean of the stand.
    pub breeding: Vec<f64>,
    /// Worth of them together: what trees are ranked by.
    pub worth: f64,
    /// Variance of the worth that the records leave open.
    pub worth_variance: f64,
}

impl Breeding {
    /// Traits with their correlations between trees, which stand in for those of breeding values: nobody
    /// knows these of wild trees without a trial of their offspring (Cheverud 1988, Evolution 42:958, from
    /// memory, on how well that does).
    ///
    /// # Errors
    /// When a trait has no variance between trees, or two tell the same.
    pub fn new(traits: &[Trait], correlation: &DMatrix<f64>, aim: Aim) -> Result<Self, IndexError> {
        if correlation.nrows() != traits.len() || correlation.ncols() != traits.len() {
            return Err(IndexError::Sizes);
        }
        let p = phenotypic(traits, correlation, &vec![1; traits.len()]);
        let g = genetic(traits, correlation);
        let each = |of: &dyn Fn(&Trait) -> f64| -> Vec<f64> { traits.iter().map(of).collect() };
        let (index, unit_worth) = match aim {
            Aim::Weights => {
                let worth = each(&|one| one.worth / one.between.sqrt());
                (smith_hazel(&p, &g, &worth)?, worth)
            }
            Aim::Gains => {
                let wanted = each(&|one| one.worth * one.between.sqrt());
                let index = desired_gains(&p, &g, &wanted)?;
                // Weights of breeding values that come to the same: b = P⁻¹ G v.
                let b = DVector::from_column_slice(&index.weights);
                let v = g.clone().cholesky().ok_or(IndexError::Singular)?.solve(&(&p * b));
                (index, v.as_slice().to_vec())
            }
        };
        if unit_worth.iter().any(|worth| !worth.is_finite()) {
            return Err(IndexError::Singular);
        }
        Ok(Self {
            traits: traits.to_vec(),
            correlation: correlation.clone(),
            unit_worth: DVector::from_vec(unit_worth),
            index,
            solved: BTreeMap::new(),
        })
    }

    /// The index of a tree with one record of every trait.
    #[must_use]
    pub fn index(&self) -> &Index {
        &self.index
    }

    /// Best prediction from the tree's deviations from its stand, each the mean of so many records; `None`
    /// for a trait that was not recorded. A tree without any record is worth what its stand is.
    ///
    /// Cost: a small matrix for each pattern of records that was not met before.
    pub fn of(&mut self, records: &[Option<(f64, u32)>]) -> Inheritance {
        let pattern: Vec<u32> =
            records.iter().map(|one| one.map_or(0, |(_, count)| count)).collect();
        if !self.solved.contains_key(&pattern) {
            let solved = self.solve(&pattern);
            self.solved.insert(pattern.clone(), solved);
        }
        let known: Vec<f64> = records.iter().flatten().map(|(deviation, _)| *deviation).collect();
        match self.solved.get(&pattern).and_then(Option::as_ref) {
            Some(solved) => {
                let breeding = &solved.regression * DVector::from_vec(known);
                Inheritance {
                    worth: self.unit_worth.dot(&breeding),
                    breeding: breeding.as_slice().to_vec(),
                    worth_variance: solved.open,
                }
            }
            None => Inheritance {
                breeding: vec![0.0; self.traits.len()],
                worth: 0.0,
                worth_variance: self.whole_variance(),
            },
        }
    }

    fn whole_variance(&self) -> f64 {
        let g = genetic(&self.traits, &self.correlation);
        (self.unit_worth.transpose() * g * &self.unit_worth)[0].max(0.0)
    }

    fn solve(&self, pattern: &[u32]) -> Option<Solved> {
        let seen: Vec<usize> = (0..pattern.len()).filter(|at| pattern[*at] > 0).collect();
        if seen.is_empty() {
            return None;
        }
        let p = phenotypic(&self.traits, &self.correlation, pattern);
        let g = genetic(&self.traits, &self.correlation);
        let p = p.select_rows(&seen).select_columns(&seen);
        let g = g.select_columns(&seen);
        let inverse = p.cholesky()?.inverse();
        let regression = &g * inverse;
        let told =
            (self.unit_worth.transpose() * &regression * g.transpose() * &self.unit_worth)[0];
        Some(Solved { regression, open: (self.whole_variance() - told).max(0.0) })
    }
}

fn phenotypic(traits: &[Trait], correlation: &DMatrix<f64>, counts: &[u32]) -> DMatrix<f64> {
    DMatrix::from_fn(traits.len(), traits.len(), |a, b| {
        if a == b {
            traits[a].between + traits[a].error / f64::from(counts[a].max(1))
        } else {
            correlation[(a, b)] * (traits[a].between * traits[b].between).sqrt()
        }
    })
}

fn genetic(traits: &[Trait], correlation: &DMatrix<f64>) -> DMatrix<f64> {
    DMatrix::from_fn(traits.len(), traits.len(), |a, b| {
        let of = if a == b { 1.0 } else { correlation[(a, b)] };
        of * (traits[a].genetic() * traits[b].genetic()).sqrt()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const TRAIT: Trait = Trait { between: 4.0, error: 6.0, heritability: 0.3, worth: 1.0 };

    fn alone(of: Trait) -> Breeding {
        Breeding::new(&[of], &DMatrix::identity(1, 1), Aim::Weights).unwrap()
    }

    /// Source: b = n h² / (1 + (n − 1) r), with repeatability r the form of own records (Falconer & Mackay
    /// 1996, ch. 8, from memory); r = h² gives the figures .27 → .2700 .5967 .7690 for n 1, 4, 9.
    #[test]
    fn one_trait_is_drawn_in_by_its_own_records() {
        for h in [0.27, 0.40, 0.69] {
            let mut breeding =
                alone(Trait { between: h, error: 1.0 - h, heritability: h, worth: 1.0 });
            for n in [1_u32, 4, 9] {
                let found = breeding.of(&[Some((10.0, n))]);
                let n = f64::from(n);
                let b = n * h / (1.0 + (n - 1.0) * h);
                assert!((found.breeding[0] - 10.0 * b).abs() < 1e-9);
                assert!(
                    (found.worth_variance - (1.0 - b)).abs() < 1e-9,
                    "in between-tree deviations"
                );
            }
        }
    }

    #[test]
    fn no_more_is_handed_down_than_the_tree_has() {
        let greedy = Trait { heritability: 0.9, ..TRAIT };
        assert!(greedy.is_capped() && !TRAIT.is_capped());
        assert!((greedy.genetic() - 4.0).abs() < 1e-12);
    }

    #[test]
    fn a_tree_without_records_is_worth_its_stand_and_one_trait_tells_of_another() {
        let correlation = DMatrix::from_row_slice(2, 2, &[1.0, 0.5, 0.5, 1.0]);
        let mut breeding = Breeding::new(&[TRAIT, TRAIT], &correlation, Aim::Weights).unwrap();
        let (none, one, both) = (
            breeding.of(&[None, None]),
            breeding.of(&[Some((2.0, 1)), None]),
            breeding.of(&[Some((2.0, 1)), Some((2.0, 1))]),
        );
        assert_eq!((none.worth, none.breeding.as_slice()), (0.0, &[0.0, 0.0][..]));
        assert!(one.breeding[1] > 0.0 && one.breeding[1] < one.breeding[0]);
        assert!(
            none.worth_variance > one.worth_variance && one.worth_variance > both.worth_variance
        );
        // The same as the index of the whole.
        let by_index: f64 = breeding.index().weights.iter().map(|b| b * 2.0).sum();
        assert!((both.worth - by_index).abs() < 1e-12);
    }

    #[test]
    fn wanted_gains_rank_by_the_index_of_wanted_gains() {
        let correlation = DMatrix::from_row_slice(2, 2, &[1.0, -0.3, -0.3, 1.0]);
        let traits = [TRAIT, Trait { worth: 0.2, heritability: 0.2, ..TRAIT }];
        let mut breeding = Breeding::new(&traits, &correlation, Aim::Gains).unwrap();
        let weights = breeding.index().weights.clone();
        for deviations in [[1.0, 0.0], [0.0, 1.0], [-2.0, 3.0]] {
            let found = breeding.of(&[Some((deviations[0], 1)), Some((deviations[1], 1))]);
            let index: f64 = weights.iter().zip(deviations).map(|(b, d)| b * d).sum();
            assert!((found.worth - index).abs() < 1e-9);
        }
    }
}
