//! Which stand each tree belongs to.

use geo::{BoundingRect, Distance, Euclidean, Intersects, MultiPolygon, Point, Rect};

use super::join::{Joined, SheetTree};
use crate::problem::Problem;
use crate::zones::Stand;

/// The trees' stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// For each tree of the sheet, in order, its stand's position among the stands; `None`: in none.
    pub stands: Vec<Option<usize>>,
    /// Trees that stand in no kept stand.
    pub warnings: Vec<Problem>,
}

/// Finds the stand of each tree. Borders belong to what they bound; of two stands the first counts.
///
/// # Errors
/// Every tree that stands outside the property, with its row and its distance from it.
pub fn on_property(
    trees: &Joined,
    boundary: &MultiPolygon<f64>,
    stands: &[Stand],
) -> Result<Placed, Vec<Problem>> {
    let boxes: Vec<Option<Rect<f64>>> =
        stands.iter().map(|stand| stand.geometry.bounding_rect()).collect();
    let stand_of = |place: &Point<f64>| {
        boxes.iter().zip(stands).position(|(around, stand)| {
            around.is_some_and(|around| around.intersects(place))
                && stand.geometry.intersects(place)
        })
    };
    let (mut problems, mut warnings, mut found) = (Vec::new(), Vec::new(), Vec::new());
    for tree in &trees.trees {
        let place = Point::from(tree.tree.at);
        let stand = stand_of(&place);
        found.push(stand);
        if !boundary.intersects(&place) {
            problems.push(outside(trees, tree, boundary));
        } else if stand.is_none() {
            warnings.push(in_no_stand(trees, tree, stands));
        }
    }
    if problems.is_empty() { Ok(Placed { stands: found, warnings }) } else { Err(problems) }
}

fn outside(trees: &Joined, tree: &SheetTree, boundary: &MultiPolygon<f64>) -> Problem {
    let problem = Problem::error(format!("tree `{}`, easting_m", tree.tree.tree_id));
    let far = if boundary.0.is_empty() {
        "outside the property, which has no ground".to_owned()
    } else {
        let away_m = Euclidean.distance(&Point::from(tree.tree.at), boundary);
        format!("{away_m:.0} m outside the property")
    };
    problem
        .file(&trees.field_file)
        .place(tree.tree.row, trees.easting_column)
        .found(far)
        .expected("a tree of the property")
        .remedy("check its coordinates and their system; seed of a neighbour's trees is the neighbour's")
}

fn in_no_stand(trees: &Joined, tree: &SheetTree, stands: &[Stand]) -> Problem {
    let place = Point::from(tree.tree.at);
    let away = |stand: &Stand| (Euclidean.distance(&place, &stand.geometry), stand.id.clone());
    let near = stands
        .iter()
        .filter(|stand| !stand.geometry.0.is_empty())
        .map(away)
        .min_by(|one, other| one.0.total_cmp(&other.0));
    let found = near.map_or_else(
        || "in no kept stand".to_owned(),
        |(away_m, id)| format!("in no kept stand; {id} is nearest, {away_m:.0} m off"),
    );
    Problem::warning(format!("tree `{}`, easting_m", tree.tree.tree_id))
        .file(&trees.field_file)
        .place(tree.tree.row, trees.easting_column)
        .found(found)
        .expected("a tree of a kept stand")
        .remedy(
            "check its coordinates, or draw the stand that it belongs to; it counts with no stand",
        )
}
