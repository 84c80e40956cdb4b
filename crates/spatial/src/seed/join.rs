//! Lab sheet and field sheet together: samples of trees that someone can go back to.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::PathBuf;

use super::field::{FieldSheet, FieldTree};
use super::lab::{LabSample, LabSheet};
use crate::problem::Problem;
use crate::site::nearest;

/// Farthest that the two sheets may place a tree apart, metres: what a hand-held receiver errs under
/// trees, twice and more. Our choice, no source.
pub const FARTHEST_APART_M: f64 = 30.0;

/// Most lost trees for which a name like theirs is looked for: it takes long among many.
const MOST_SUGGESTED: usize = 20;
/// Most names that one warning lists.
const MOST_NAMES: usize = 12;

/// A tree that was seen and sampled.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetTree {
    /// What was seen.
    pub tree: FieldTree,
    /// Its samples, at least one, in the order of the lab sheet.
    pub samples: Vec<LabSample>,
}

/// Both sheets as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Joined {
    /// Trees with a sample, in the order of the field sheet.
    pub trees: Vec<SheetTree>,
    /// What to look at before they are believed; those of the lab sheet are not repeated.
    pub warnings: Vec<Problem>,
    /// The field sheet.
    pub field_file: PathBuf,
    /// Column of its eastings, from 1, for messages.
    pub(super) easting_column: usize,
}

/// Puts samples to their trees.
///
/// # Errors
/// Every tree of the lab sheet that the field sheet lacks, and every sample that lies more than
/// [`FARTHEST_APART_M`] from where the field sheet has its tree.
pub fn join(lab: &LabSheet, field: &FieldSheet) -> Result<Joined, Vec<Problem>> {
    let places: HashMap<&str, usize> =
        field.trees.iter().enumerate().map(|(at, tree)| (tree.tree_id.as_str(), at)).collect();
    let mut samples: Vec<Vec<LabSample>> = vec![Vec::new(); field.trees.len()];
    let mut problems = Vec::new();
    let mut lost = BTreeSet::new();
    for sample in &lab.samples {
        let Some(at) = places.get(sample.tree_id.as_str()) else {
            if lost.insert(sample.tree_id.as_str()) {
                problems.push(unknown(lab, field, sample, lost.len() <= MOST_SUGGESTED));
            }
            continue;
        };
        problems.extend(apart(lab, field, sample, &field.trees[*at]));
        samples[*at].push(sample.clone());
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut warnings = same_place(field);
    let pairs = field.trees.iter().zip(samples);
    let (sampled, never): (Vec<_>, Vec<_>) = pairs.partition(|(_, samples)| !samples.is_empty());
    let never: Vec<&FieldTree> = never.into_iter().map(|(tree, _)| tree).collect();
    warnings.extend(not_sampled(field, &never));
    let tree = |(tree, samples): (&FieldTree, _)| SheetTree { tree: tree.clone(), samples };
    Ok(Joined {
        trees: sampled.into_iter().map(tree).collect(),
        warnings,
        field_file: field.file.clone(),
        easting_column: field.columns[1],
    })
}

/// A tree that the field sheet lacks.
fn unknown(lab: &LabSheet, field: &FieldSheet, sample: &LabSample, suggests: bool) -> Problem {
    let id = sample.tree_id.as_str();
    let names = field.trees.iter().map(|tree| tree.tree_id.as_str());
    let near = if suggests { nearest(id, names) } else { None };
    let remedy = near.map_or_else(
        || "add the tree to the field sheet with its coordinates, or take the row out".to_owned(),
        |near| format!("did you mean `{near}`?"),
    );
    Problem::error(format!("tree `{id}`, tree_id"))
        .file(&lab.file)
        .place(sample.row, lab.columns[0])
        .found(format!("`{id}`"))
        .expected(format!("a tree of {}", field.file.display()))
        .remedy(remedy)
}

/// A sample that was taken elsewhere.
fn apart(
    lab: &LabSheet,
    field: &FieldSheet,
    sample: &LabSample,
    tree: &FieldTree,
) -> Option<Problem> {
    let at = sample.at?;
    let apart_m = (at[0] - tree.at[0]).hypot(at[1] - tree.at[1]);
    let is_apart = apart_m > FARTHEST_APART_M;
    is_apart.then(|| {
        Problem::error(format!("tree `{}`, easting_m", tree.tree_id))
            .file(&lab.file)
            .place(sample.row, lab.columns[1])
            .found(format!(
                "{apart_m:.0} m from where it stands in row {} of {}",
                tree.row,
                field.file.display()
            ))
            .expected(format!("at most {FARTHEST_APART_M:.0} m"))
            .remedy("check which tree was sampled, and both pairs of coordinates")
    })
}

/// Trees of one place, which are one tree or were copied.
fn same_place(field: &FieldSheet) -> Vec<Problem> {
    let mut first: BTreeMap<[u64; 2], &FieldTree> = BTreeMap::new();
    let mut found = Vec::new();
    for tree in &field.trees {
        let other = *first.entry(tree.at.map(|metres| (metres + 0.0).to_bits())).or_insert(tree);
        if other.tree_id != tree.tree_id {
            let problem = Problem::warning(format!("tree `{}`, easting_m", tree.tree_id))
                .file(&field.file)
                .place(tree.row, field.columns[1])
                .found(format!("the place of `{}` in row {}", other.tree_id, other.row))
                .expected("a place of its own")
                .remedy("check both: trees of one place are one tree, or a row was copied");
            found.push(problem);
        }
    }
    found
}

/// Trees of which nothing is known.
fn not_sampled(field: &FieldSheet, never: &[&FieldTree]) -> Option<Problem> {
    let first = never.first()?;
    let names: Vec<String> =
        never.iter().take(MOST_NAMES).map(|tree| format!("`{}`", tree.tree_id)).collect();
    let more = never.len() - names.len();
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let problem = Problem::warning("not sampled")
        .file(&field.file)
        .place(first.row, field.columns[0])
        .found(format!("no sample of {}{more}", names.join(", ")))
        .expected("a sample of each tree")
        .remedy("have them sampled too, or leave them: no seed is chosen from a tree that was not tested");
    Some(problem)
}
