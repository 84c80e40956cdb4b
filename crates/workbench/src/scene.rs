//! The plan on the bench, as the page draws it.

use std::collections::BTreeMap;

use geo::MultiPolygon;
use palette::Legend;
use serde::Serialize;
use serde_json::{Value as Json, json};
use spatial::overrides::Overrides;
use spatial::plan::{DeliveryRow, Plan, line_letter};
use spatial::problem::Problem;
use spatial::write::columns::{BLOCKS, KEEP_CLEAR, ORDERS, STANDS, ZONES};
use stock::Library;

use crate::bench::{Bench, Draft};
use crate::edit::told as drawn;
use crate::plan_now::PlanNow;
use crate::table::Table;

/// A layer with its shapes; none where the reader has them.
#[derive(Debug, Serialize)]
struct Shaped {
    #[serde(flatten)]
    table: Table,
    geometry: Option<Vec<Json>>,
}

/// The present of a bench. `known`: the geometry that the reader has.
///
/// # Errors
/// When a number is not finite, a fault of the program.
pub(crate) fn scene(bench: &Bench, known: Option<u64>) -> Result<Json, Problem> {
    let now = bench.now();
    let has_shapes = known == Some(bench.geometry_revision());
    let mut scene = layers(now, !has_shapes)?;
    let steps = bench.steps();
    let drawings = drawn(bench.files(), now).into_iter();
    let drawings: Vec<Json> = drawings
        .map(|(what, index, name, geometry)| json!({ "what": what, "index": index, "name": name, "geometry": geometry }))
        .collect();
    let more = json!({
        "revision": bench.revision(),
        "geometry_revision": bench.geometry_revision(),
        "ground_revision": bench.ground_revision(),
        "can_undo": steps.undo_words().is_some(),
        "can_redo": steps.redo_words().is_some(),
        "undo_words": steps.undo_words(),
        "redo_words": steps.redo_words(),
        "unsaved": bench.unsaved(),
        "stale": !bench.stopped().is_empty(),
        "problems": bench.stopped(),
        "took": now.took,
        "drawn": drawings,
        "change": bench.told(),
    });
    join(&mut scene, more);
    if let Some(draft) = bench.draft() {
        join(&mut scene, json!({ "choices": drafted(now, draft) }));
    }
    Ok(scene)
}

/// The plan as it was opened.
///
/// # Errors
/// As [`scene`].
pub(crate) fn opened(bench: &Bench) -> Result<Json, Problem> {
    layers(bench.opened(), true)
}

fn join(scene: &mut Json, more: Json) {
    if let (Json::Object(scene), Json::Object(more)) = (scene, more) {
        scene.extend(more);
    }
}

fn layers(now: &PlanNow, with_shapes: bool) -> Result<Json, Problem> {
    let plan = &now.plan;
    let shapes = |of: &dyn Fn() -> Vec<Json>| with_shapes.then(of);
    let zones = Shaped {
        table: Table::of(&ZONES, &plan.zones, plan)?,
        geometry: shapes(&|| plan.zones.iter().map(|zone| coordinates(&zone.geometry)).collect()),
    };
    let keep_clear = Shaped {
        table: Table::of(&KEEP_CLEAR, &plan.keep_clear, plan)?,
        geometry: shapes(&|| {
            plan.keep_clear.iter().map(|one| coordinates(&one.geometry)).collect()
        }),
    };
    let stands = Shaped {
        table: Table::of(&STANDS, &plan.stands, plan)?,
        geometry: shapes(&|| plan.stands.iter().map(|one| coordinates(&one.geometry)).collect()),
    };
    let legend = legend(now);
    let mut scene = json!({
        "totals": plan.totals,
        "lines": lines(now, &legend),
        "zones": zones,
        "blocks": Table::of(&BLOCKS, &plan.blocks, plan)?,
        "orders": Table::of(&ORDERS, &deliveries(plan), plan)?,
        "keep_clear": keep_clear,
        "stands": stands,
        "choices": choices(now),
        "cautions": plan.cautions,
        "warnings": plan.warnings,
        "binding": plan.solution.binding,
    });
    let on_zones = json!({ "lines": shares(now), "left": plan.zones.iter().map(|zone| zone.left_share).collect::<Vec<_>>() });
    if let Some(zones) = scene.get_mut("zones") {
        join(zones, on_zones);
    }
    Ok(scene)
}

/// Every delivery, in the order of the orders.
fn deliveries(plan: &Plan) -> Vec<DeliveryRow> {
    plan.line_orders.iter().flat_map(|order| order.deliveries.iter().cloned()).collect()
}

/// Corners as arrays, as GeoJSON has them, to a centimetre.
pub(crate) fn coordinates(shape: &MultiPolygon<f64>) -> Json {
    let to_cm = |metres: f64| (metres * 100.0).round() / 100.0;
    let ring = |ring: &geo::LineString<f64>| -> Vec<[f64; 2]> {
        ring.coords().map(|at| [to_cm(at.x), to_cm(at.y)]).collect()
    };
    let polygon = |polygon: &geo::Polygon<f64>| -> Vec<Vec<[f64; 2]>> {
        std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(ring).collect()
    };
    json!(shape.iter().map(polygon).collect::<Vec<_>>())
}

/// Colours, letters and patterns of the lines that are planted, as every map of the plan has them.
pub(crate) fn legend(now: &PlanNow) -> Legend {
    let cards = &now.plan.cards;
    palette::lines(cards.iter().map(|card| (&*card.stock_id, &*card.stock_name, &*card.letter)))
}

/// Every line of the stock file, planted or not.
fn lines(now: &PlanNow, legend: &Legend) -> Vec<Json> {
    let plan = &now.plan;
    let line = |(at, stock): (usize, &stock::Stock)| {
        let class = legend.class(&stock.id);
        let order = plan.orders.iter().find(|order| order.stock_id == stock.id);
        json!({
            "stock_id": stock.id,
            "name": stock.name,
            "kind": stock.kind.key(),
            "letter": line_letter(at),
            "colour": class.map(|class| class.colour.to_string()),
            "ink": class.map(|class| class.ink().to_string()),
            "pattern": class.map(|class| class.pattern.name()),
            "plan_ha": order.map_or(0.0, |order| order.plan_area_ha.0),
            "seedlings": order.map_or(0, |order| order.seedlings),
            "order_qty": order.map_or(0, |order| order.order_qty),
            "cost_nzd": order.and_then(|order| order.plants_nzd(stock.price_nzd)),
            "supply": order.and_then(|order| order.supply),
        })
    };
    now.fitted.library.stocks().iter().enumerate().map(line).collect()
}

/// What stands on each zone: places in the list of lines, with shares.
fn shares(now: &PlanNow) -> Vec<Vec<Json>> {
    let plan = &now.plan;
    let mut on: BTreeMap<&str, Vec<(&str, f64)>> = BTreeMap::new();
    for block in &plan.blocks {
        let shares = on.entry(&block.zone_id).or_default();
        match shares.iter_mut().find(|(id, _)| *id == block.stock_id) {
            Some((_, share)) => *share += block.share,
            None => shares.push((&block.stock_id, block.share)),
        }
    }
    let place = |id: &str| now.fitted.library.stocks().iter().position(|stock| stock.id == id);
    let of_zone = |shares: &Vec<(&str, f64)>| {
        let known = shares.iter().filter_map(|(id, share)| Some((place(id)?, share)));
        known.map(|(line, share)| json!({ "line": line, "share": share })).collect()
    };
    plan.zones.iter().map(|zone| on.get(&*zone.zone_id).map(of_zone).unwrap_or_default()).collect()
}

/// Choices made by hand that are heard.
fn choices(now: &PlanNow) -> Vec<Json> {
    placed(now, &now.fitted.library, &now.fitted.overrides)
}

/// Choices of files that no plan can be made of, on the zones of the last plan.
fn drafted(now: &PlanNow, draft: &Draft) -> Vec<Json> {
    let (overrides, _) =
        Overrides::place(draft.choices.clone(), &now.fitted.zones, &now.fitted.site.file);
    placed(now, &draft.library, &overrides)
}

fn placed(now: &PlanNow, library: &Library, overrides: &Overrides) -> Vec<Json> {
    let stocks = library.stocks();
    let id = |line: usize| stocks.get(line).map(|stock| stock.id.clone());
    overrides
        .placed
        .iter()
        .map(|(zone, choice)| {
            json!({
                "zone_id": now.plan.zones.get(*zone).map(|zone| &zone.zone_id),
                "line": choice.line.and_then(id),
                "forbid": choice.forbid.iter().copied().filter_map(id).collect::<Vec<_>>(),
                "density_sph": choice.density.map(|density| density.0),
                "note": choice.note,
            })
        })
        .collect()
}

/// One zone with all that is told of it.
pub(crate) fn zone(bench: &Bench, id: &str) -> Option<Json> {
    let now = bench.now();
    let plan = &now.plan;
    let row = plan.zones.iter().find(|zone| zone.zone_id == id)?;
    let legend = legend(now);
    let stocks = now.fitted.library.stocks();
    let fits: Vec<Json> = plan
        .fits
        .iter()
        .filter(|fit| fit.zone_id == id)
        .map(|fit| {
            let at = stocks.iter().position(|stock| stock.id == fit.stock_id);
            let mut told = serde_json::to_value(fit).unwrap_or_default();
            let class = legend.class(&fit.stock_id);
            join(
                &mut told,
                json!({
                    "name": at.and_then(|at| stocks.get(at)).map(|stock| &stock.name),
                    "letter": at.map(line_letter),
                    "colour": class.map(|class| class.colour.to_string()),
                    "ink": class.map(|class| class.ink().to_string()),
                }),
            );
            told
        })
        .collect();
    let blocks: Vec<_> = plan.blocks.iter().filter(|block| block.zone_id == id).collect();
    let cautions = plan.cautions.iter().filter(|one| one.zones.iter().any(|zone| zone == id));
    let cautions: Vec<String> =
        cautions.map(|one| format!("{}: {}", one.about, one.text)).collect();
    let all = bench.draft().map_or_else(|| choices(now), |draft| drafted(now, draft));
    let choice = all.into_iter().find(|choice| choice["zone_id"] == id);
    Some(
        json!({ "zone": row, "fits": fits, "blocks": blocks, "choice": choice, "cautions": cautions }),
    )
}
