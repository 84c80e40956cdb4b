//! Records, gathered by tree and year: all that the likelihood needs of them.

use std::collections::BTreeMap;
use std::ops::Range;

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
    /// Trees of a stand that were sampled alike, stand by stand.
    pub(super) groups: Vec<Group>,
    /// The stands, in order.
    pub(super) stands: Vec<Stand>,
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
    /// Its group.
    pub(super) group: usize,
}

/// Trees and groups of one stand.
#[derive(Debug, Clone)]
pub(super) struct Stand {
    pub(super) trees: Range<usize>,
    pub(super) groups: Range<usize>,
}

/// Trees of one stand with as many records in each year: all that sets them apart is their sums, so the
/// likelihood takes them together.
#[derive(Debug, Clone)]
pub(super) struct Group {
    /// Year and records in it of each tree.
    pub(super) cells: Vec<(usize, f64)>,
    /// Records of each tree.
    pub(super) count: f64,
    /// How many trees.
    pub(super) trees: f64,
    /// Sum of the trees' sums.
    pub(super) sum: f64,
    /// Sum of the squares of the trees' sums.
    pub(super) squares: f64,
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
            groups: vec![],
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
            let (first, first_group) = (self.trees.len(), self.groups.len());
            let mut known: BTreeMap<Vec<(usize, usize)>, usize> = BTreeMap::new();
            for of_tree in of_stand.chunk_by(|a, b| a.tree == b.tree) {
                let mut pattern = Vec::new();
                let mut sum = 0.0;
                for of_year in of_tree.chunk_by(|a, b| a.year == b.year) {
                    let values = of_year.iter().map(|one| (one.value - self.mean) / self.scale);
                    let of_cell = values.sum::<f64>();
                    let year = &mut self.years[of_year[0].year];
                    year.count += of_year.len() as f64;
                    year.sum += of_cell;
                    sum += of_cell;
                    pattern.push((of_year[0].year, of_year.len()));
                }
                let of = Sum { count: of_tree.len() as f64, sum };
                self.has_repeats |= of_tree.len() > 1;
                let group = *known.entry(pattern).or_insert_with_key(|pattern| {
                    let cells = pattern.iter().map(|(year, count)| (*year, *count as f64));
                    let cells = cells.collect();
                    let none = Group { cells, count: of.count, trees: 0.0, sum: 0.0, squares: 0.0 };
                    self.groups.push(none);
                    self.groups.len() - 1
                });
                let of_group = &mut self.groups[group];
                of_group.trees += 1.0;
                of_group.sum += sum;
                of_group.squares += sum * sum;
                self.trees.push(Tree { index: of_tree[0].tree, of, group });
            }
            self.stands.push(Stand {
                trees: first..self.trees.len(),
                groups: first_group..self.groups.len(),
            });
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
