//! What stands on each part of a plan: lines by their shares, or what else.

use std::collections::BTreeMap;

use geo::{Area, MultiPolygon};

use super::told::{Block, Told};
use crate::plan::{PlanLayer, PlanLayers, Shape};
use crate::units::M2_PER_HA;

/// Ground that is not of the other plan. It and the other words here have a space, which no line's id has.
pub(super) const OUTSIDE: &str = "outside the plan";
/// Ground of a zone that no line takes.
pub(super) const UNPLANTED: &str = "not planted";
/// A kept stand.
pub(super) const KEPT_STAND: &str = "kept stand";
/// Ground kept clear.
pub(super) const KEPT_CLEAR: &str = "kept clear";
/// A share that rounding leaves says nothing.
const LEAST_SHARE: f64 = 1e-9;

/// Plants a hectare that differ by less than this share are the same density: orders that end with what can be had differ
/// by some plants a zone. No source: a choice.
const SAME_DENSITY: f64 = 0.01;
/// So are those that differ by the rounding to whole plants in both.
const SAME_PLANTS: f64 = 2.0;

/// A part of a plan: a zone, a stand or ground kept clear.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Part {
    /// Its name.
    pub(super) id: String,
    /// Whether it is a zone.
    pub(super) is_zone: bool,
    /// What stands on it, by share; the shares add up to 1.
    pub(super) on_it: BTreeMap<String, f64>,
    /// Plants on a hectare of map.
    pub(super) stems_ha: f64,
    /// Where it is.
    pub(super) area: MultiPolygon<f64>,
}

/// The parts of a plan, which tile it: zones, ground kept clear, stands.
pub(super) fn parts(read: &PlanLayers, told: &Told) -> Vec<Part> {
    let mut blocks: BTreeMap<&str, Vec<&Block>> = BTreeMap::new();
    for block in &told.blocks {
        blocks.entry(&block.zone_id).or_default().push(block);
    }
    let mut parts = Vec::new();
    for layer in ["zones", "keep_clear", "stands"].into_iter().filter_map(|name| read.find(name)) {
        for row in &layer.rows {
            let Shape::Area(area) = &row.shape else { continue };
            let id = layer.text(row, layer.id);
            let own = blocks.get(id).map_or(&[][..], Vec::as_slice);
            let hectares = layer.number(row, "plan_area_ha").unwrap_or_default();
            parts.push(part(layer, id, (area, hectares), own));
        }
    }
    parts
}

fn part(
    layer: &PlanLayer,
    id: &str,
    (area, hectares): (&MultiPolygon<f64>, f64),
    blocks: &[&Block],
) -> Part {
    let is_zone = layer.name == "zones";
    let on_it = match layer.name {
        "keep_clear" => BTreeMap::from([(KEPT_CLEAR.to_owned(), 1.0)]),
        "stands" => BTreeMap::from([(KEPT_STAND.to_owned(), 1.0)]),
        _ => shares(blocks),
    };
    let plants: u64 = if is_zone { blocks.iter().map(|block| block.seedlings).sum() } else { 0 };
    let stems_ha = if hectares > 0.0 { plants as f64 / hectares } else { 0.0 };
    Part { id: id.to_owned(), is_zone, on_it, stems_ha, area: area.clone() }
}

/// Shares of the lines of a zone; the rest is not planted.
fn shares(blocks: &[&Block]) -> BTreeMap<String, f64> {
    let mut shares: BTreeMap<String, f64> = BTreeMap::new();
    for block in blocks {
        *shares.entry(block.stock_id.clone()).or_default() += block.share;
    }
    let left = 1.0 - shares.values().sum::<f64>();
    if left > LEAST_SHARE {
        shares.insert(UNPLANTED.to_owned(), left);
    }
    shares
}

/// Whether two parts are planted at other densities.
pub(super) fn other_density(a: &Part, b: &Part) -> bool {
    let apart = (a.stems_ha - b.stems_ha).abs();
    let smaller = a.area.unsigned_area().min(b.area.unsigned_area()) / M2_PER_HA;
    apart > SAME_DENSITY * a.stems_ha.max(b.stems_ha) && apart * smaller > SAME_PLANTS
}

/// What stands on a part in words: `amber 60 %, tops 40 %`, or `amber` alone.
pub(super) fn words(on_it: &BTreeMap<String, f64>) -> String {
    match on_it.iter().next() {
        None => UNPLANTED.to_owned(),
        Some((only, _)) if on_it.len() == 1 => only.clone(),
        Some(_) => {
            let word = |(name, share): (&String, &f64)| format!("{name} {:.0} %", share * 100.0);
            // What is no line comes last.
            let (lines, others): (Vec<_>, Vec<_>) =
                on_it.iter().partition(|(name, _)| !name.contains(' '));
            lines.into_iter().chain(others).map(word).collect::<Vec<_>>().join(", ")
        }
    }
}

#[cfg(test)]
mod tests {
    use geo::Rect;

    use super::*;

    /// A square of so many hectares.
    fn part(hectares: f64, stems_ha: f64) -> Part {
        let side = (hectares * M2_PER_HA).sqrt();
        let area = Rect::new((0.0, 0.0), (side, side)).to_polygon().into();
        Part { id: "Z1".into(), is_zone: true, on_it: BTreeMap::new(), stems_ha, area }
    }

    #[test]
    fn a_density_is_another_by_more_than_rounding_and_a_hundredth() {
        for (hectares, a, b, expected) in [
            (5.0, 1_600.0, 1_600.0, false),
            (5.0, 1_600.0, 1_610.0, false),
            (5.0, 1_600.0, 1_620.0, true),
            (0.05, 1_600.0, 1_620.0, false),
            (0.05, 1_600.0, 1_650.0, true),
            (5.0, 0.0, 1_600.0, true),
        ] {
            let pair = [part(hectares, a), part(hectares, b)];
            assert_eq!(other_density(&pair[0], &pair[1]), expected, "{hectares} {a} {b}");
            assert_eq!(other_density(&pair[1], &pair[0]), expected);
        }
    }

    #[test]
    fn a_mixture_is_told_with_its_shares() {
        let block = |stock_id: &str, share| Block {
            zone_id: "Z1".into(),
            stock_id: stock_id.into(),
            share,
            seedlings: 1,
        };
        let blocks = [block("amber", 0.3), block("tops", 0.4), block("amber", 0.1)];
        let told = shares(&blocks.iter().collect::<Vec<_>>());
        assert_eq!(words(&told), "amber 40 %, tops 40 %, not planted 20 %");
        assert_eq!(words(&shares(&[])), "not planted");
    }
}
