//! Records, gathered by tree and year: all that the likelihood needs of them.

use thiserror::Error;

/// One sample of one tree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Record {
    /// Its tree, counted from 0.
    pub tree: usize,
    /// Its year, counted from 0.
    pub year: usize,
    /// What was measured.
    pub value: f64,
}

/// Why records cannot be looked into.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum RecordsError {
    /// Fewer than three records.
    #[error("{0} records: spread takes at least three")]
    Few(usize),
    /// A value is not a finite number.
    #[error("record {0} is not a finite number")]
    NotFinite(usize),
    /// All are the same.
    #[error("all records are the same: there is no spread to part")]
    NoSpread,
    /// A tree or year is not one of those that were told of.
    #[error("record {0} names a tree or year beyond those of the design")]
    Beyond(usize),
}

/// Records of trees in stands, gathered; values stand on a scale on which their mean is 0 and their
/// standard deviation 1.
#[derive(Debug, Clone)]
pub struct Records {
    pub(super) mean: f64,
    pub(super) scale: f64,
    pub(super) count: f64,
    /// Sum of squares of all, scaled.
    pub(super) squares: f64,
    /// Trees with records, by stand and then as they were given.
    pub(super) trees: Vec<Tree>,
    /// For each stand its trees in `trees`.
    pub(super) stands: Vec<std::ops::Range<usize>>,
    /// Year and number of records; a range of them for each tree.
    pub(super) cells: Vec<(usize, f64)>,
    pub(super) years: Vec<Sum>,
    /// Trees, with and without records.
    pub(super) all_trees: usize,
    pub(super) has_repeats: bool,
    pub(super) has_stands: bool,
    pub(super) has_years: bool,
}

/// A number of records and their sum.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sum {
    pub(super) count: f64,
    pub(super) sum: f64,
}

#[derive(Debug, Clone)]
pub(super) struct Tree {
    /// As it was given.
    pub(super) index: usize,
    pub(super) of: Sum,
    pub(super) cells: std::ops::Range<usize>,
}

impl Records {
    /// Gathers records. `stand_of` names the stand of each tree, counted from 0.
    ///
    /// Cost: O(n log n).
    ///
    /// # Errors
    /// When they cannot be looked into.
    pub fn new(records: &[Record], stand_of: &[usize], years: usize) -> Result<Self, RecordsError> {
        if records.len() < 3 {
            return Err(RecordsError::Few(records.len()));
        }
        if let Some(at) = records.iter().position(|record| !record.value.is_finite()) {
            return Err(RecordsError::NotFinite(at));
        }
        let beyond = |record: &Record| record.tree >= stand_of.len() || record.year >= years;
        if let Some(at) = records.iter().position(beyond) {
            return Err(RecordsError::Beyond(at));
        }
        let count = records.len() as f64;
        let mean = records.iter().map(|record| record.value / count).sum::<f64>();
        let off = records.iter().map(|record| (record.value - mean).powi(2) / count).sum::<f64>();
        let scale = off.sqrt();
        if !(scale.is_finite() && scale > mean.abs() * 1e-13 && scale > 0.0) {
            return Err(RecordsError::NoSpread);
        }
        let mut gathered = Self {
            mean,
            scale,
            count,
            squares: count,
            trees: vec![],
            stands: vec![],
            cells: vec![],
            years: vec![Sum::default(); years],
            all_trees: stand_of.len(),
            has_repeats: false,
            has_stands: false,
            has_years: false,
        };
        gathered.gather(records, stand_of);
        Ok(gathered)
    }

    fn gather(&mut self, records: &[Record], stand_of: &[usize]) {
        let mut order: Vec<&Record> = records.iter().collect();
        order.sort_by_key(|record| (stand_of[record.tree], record.tree, record.year));
        let stand = |record: &Record| stand_of[record.tree];
        for of_stand in order.chunk_by(|a, b| stand(a) == stand(b)) {
            let first = self.trees.len();
            for of_tree in of_stand.chunk_by(|a, b| a.tree == b.tree) {
                let begin = self.cells.len();
                let mut sum = 0.0;
                for of_year in of_tree.chunk_by(|a, b| a.year == b.year) {
                    let values = of_year.iter().map(|one| (one.value - self.mean) / self.scale);
                    let (count, of_cell) = (of_year.len() as f64, values.sum::<f64>());
                    let year = &mut self.years[of_year[0].year];
                    year.count += count;
                    year.sum += of_cell;
                    sum += of_cell;
                    self.cells.push((of_year[0].year, count));
                }
                let of = Sum { count: of_tree.len() as f64, sum };
                self.has_repeats |= of_tree.len() > 1;
                let cells = begin..self.cells.len();
                self.trees.push(Tree { index: of_tree[0].tree, of, cells });
            }
            self.stands.push(first..self.trees.len());
            let years = |one: &&Record| one.year != of_stand[0].year;
            self.has_years |= of_stand.iter().any(years);
        }
        self.has_stands = self.stands.len() > 1 && self.trees.len() > self.stands.len();
    }

    /// Records.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count as usize
    }

    /// Trees with records.
    #[must_use]
    pub fn trees(&self) -> usize {
        self.trees.len()
    }

    /// Stands with records.
    #[must_use]
    pub fn stands(&self) -> usize {
        self.stands.len()
    }

    /// Whether some tree was sampled more than once: without that, what a tree is cannot be told from
    /// the error of its one sample.
    #[must_use]
    pub fn has_repeats(&self) -> bool {
        self.has_repeats
    }
}
