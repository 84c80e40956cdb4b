//! What `plan.gpkg` says about itself.

use super::about::About;
use super::plan_looks::plan_looks;
use crate::plan::{Plan, Reach};

/// How a plan comes about, in order.
const STEPS: [&str; 7] = [
    "Boundary, elevation and further layers read, checked and put on the grid of the elevation.",
    "Ground kept clear by the rules of the site, and native stands that are kept, cut out.",
    "Slope and the further layers that zones and stock ask for derived from the elevation.",
    "Ground of one class joined to zones; borders traced along the cells, straightened once and shared.",
    "Fit of every line of stock in every zone reckoned cell by cell from its tolerances.",
    "Stock assigned to zones within the rules of the site, as an integer programme.",
    "Plants counted, and laid out where the site asks for it; orders rounded up with losses.",
];

/// Steps that a plan of zones alone takes.
const TO_ZONES: usize = 4;

/// Title, sources and steps of a plan.
pub(super) fn plan_about(plan: &Plan) -> About<'_> {
    let (summary, steps) = match plan.reach {
        Reach::Zones => (
            "Planting zones of a property, native stands that are kept, and ground kept clear.",
            &STEPS[..TO_ZONES],
        ),
        Reach::Orders => (
            "Planting zones of a property with blocks of stock, native stands that are kept, ground kept \
             clear, and places of plants and counting plots where they are laid out.",
            &STEPS[..],
        ),
    };
    About {
        title: format!("Planting plan: {}", plan.site),
        summary,
        inputs: &plan.inputs,
        steps,
        looks: plan_looks(plan),
    }
}
