//! How the layers of a plan are drawn.

use palette::look::{self, Look};
use palette::{Legend, lines};

use super::project::ProjectLayer;
use crate::plan::Plan;

/// The lines that are planted: their letters go by the stock file, their colours by what is planted.
pub(super) fn planted_lines(plan: &Plan) -> Legend {
    let cards = plan.cards.iter();
    lines(cards.map(|card| (&*card.stock_id, &*card.stock_name, &*card.letter)))
}

/// The look of each layer that the GeoPackage of a plan has.
pub(super) fn plan_looks(plan: &Plan) -> Vec<(&'static str, Look)> {
    let legend = planted_lines(plan);
    let mut looks = vec![("zones", look::zones())];
    if !legend.classes.is_empty() {
        looks.push(("blocks", look::blocks(legend.clone())));
    }
    looks.push(("keep_clear", look::keep_clear()));
    looks.push(("stands", look::stands()));
    if !(plan.plants.is_empty() || legend.classes.is_empty()) {
        looks.push(("plants", look::plants(legend)));
    }
    if !plan.plots.is_empty() {
        looks.push(("plots", look::plots()));
    }
    looks
}

/// The layers of the project of a plan, the uppermost first: those of the GeoPackage, and borders of zones over the
/// blocks. Zones by slope group are switched off where blocks cover them.
pub(super) fn project_layers(plan: &Plan) -> Vec<ProjectLayer> {
    /// What lies over what.
    const ORDER: [&str; 6] = ["plots", "plants", "keep_clear", "stands", "blocks", "zones"];
    let mut looks = plan_looks(plan);
    let has_blocks = looks.iter().any(|(table, _)| *table == "blocks");
    looks.sort_by_key(|(table, _)| ORDER.iter().position(|one| one == table));
    let mut layers: Vec<ProjectLayer> = looks
        .into_iter()
        .map(|(table, look)| ProjectLayer { table, look, shown: table != "zones" || !has_blocks })
        .collect();
    if has_blocks {
        let over = layers.iter().take_while(|one| ["plots", "plants"].contains(&one.table)).count();
        let borders = ProjectLayer { table: "zones", look: look::zone_borders(), shown: true };
        layers.insert(over, borders);
    }
    layers
}
