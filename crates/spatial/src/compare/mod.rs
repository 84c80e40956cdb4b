//! Two plans of one property held against each other: what was read, zones, lines, orders, ground that changes line.
//!
//! ```text
//! plan A ─► parts (zones, stands, kept clear) ─┐
//!                                              ├─► overlay ─► pieces ─► from → to in hectares
//! plan B ─► parts ─────────────────────────────┘
//! ```

mod columns;
mod cover;
mod ground;
mod matrix;
mod overlay;
mod rows;
#[cfg(test)]
mod tests;
mod told;
mod write_compare;
mod zones;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use geo::Area;

pub(crate) use columns::{CHANGES, GROUND, LINES, ORDERS, ZONES};
pub use rows::{
    Comparison, CoverChange, CoverYearRow, DifferenceRow, Differences, GroundChangeRow,
    LineChangeRow, OrderChangeRow, PieceRow, PlanRow, ZoneChangeRow, ZoneCounts,
};
pub(crate) use write_compare::is_compare_file;
pub use write_compare::{
    COMPARE_GPKG, COMPARE_GROUND_CSV, COMPARE_JSON, COMPARE_LINES_CSV, COMPARE_ORDERS_CSV,
    COMPARE_SCHEMA, COMPARE_ZONES_CSV, write_compare,
};

use ground::{OUTSIDE, Part, other_density, parts, words};
use matrix::Matrix;
use overlay::{Piece, overlay};
use told::Told;

use crate::plan::{PlanLayers, plan_file, read_layers, read_plan, record_sha256};
use crate::problem::Problem;
use crate::read::Crs;
use crate::units::PlanHectares;

/// Less change of share than this is none.
const SAME_SHARE: f64 = 1e-6;

/// Compares the plans of two folders, and their checks of cover where both are given. `enter` is told of each step as
/// it begins.
///
/// # Errors
/// When a plan or check cannot be read, they are of other coordinate systems, or of other ground.
pub fn compare(
    plans: [&Path; 2],
    covers: Option<[&Path; 2]>,
    enter: &mut dyn FnMut(&'static str),
) -> Result<(Comparison, Crs), Problem> {
    enter("read");
    let [a, b] = [Side::read(plans[0])?, Side::read(plans[1])?];
    refuse_other_system(&a, &b, plans[1])?;
    let cover = covers.map(cover::compare).transpose()?;
    enter("overlay");
    let shapes = |parts: &[Part]| parts.iter().map(|part| part.area.clone()).collect::<Vec<_>>();
    let shapes = [shapes(&a.parts), shapes(&b.parts)];
    let [from, to] = [&shapes[0], &shapes[1]].map(|shapes| shapes.iter().collect::<Vec<_>>());
    let pieces = overlay(&from, &to)?;
    refuse_other_ground(&a, &pieces, plans[1])?;
    enter("changes");
    let (matrix, rows) = changes(&a.parts, &b.parts, pieces.clone());
    let (zones, zone_changes) = zones::matched(&a.parts, &b.parts, &pieces);
    let hectares = |wanted: fn(&PieceRow) -> bool| {
        rows.iter().filter(|row| wanted(row)).map(|row| row.plan_area_ha).sum::<PlanHectares>()
    };
    let comparison = Comparison {
        schema: COMPARE_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: a.told.site.clone(),
        crs: a.told.crs.clone(),
        ground_plan_ha: hectares(|_| true),
        line_changes_plan_ha: PlanHectares(matrix::changed(&matrix)),
        density_changes_plan_ha: hectares(|row| row.change == "density"),
        inputs: inputs(&a.told, &b.told),
        defaults: defaults(&a.told, &b.told),
        zones,
        zone_changes,
        lines: lines(&a.told, &b.told),
        orders: orders(&a.told, &b.told),
        ground: ground_rows(matrix),
        cover,
        warnings: other_name(&a.told, &b.told, plans[1]).into_iter().collect(),
        plans: [a.row(), b.row()],
        pieces: rows,
    };
    Ok((comparison, a.layers.crs))
}

/// A plan, read.
struct Side {
    told: Told,
    layers: PlanLayers,
    parts: Vec<Part>,
    sha256: String,
}

impl Side {
    fn read(folder: &Path) -> Result<Self, Problem> {
        let told: Told = read_plan(folder)?;
        let layers = read_layers(folder)?;
        let parts = parts(&layers, &told);
        Ok(Self { told, layers, parts, sha256: record_sha256(folder)? })
    }

    fn row(&self) -> PlanRow {
        let totals = &self.told.totals;
        let planted = totals.planted_plan_ha;
        PlanRow {
            site: self.told.site.clone(),
            version: self.told.version.clone(),
            plan_sha256: self.sha256.clone(),
            seed: self.told.seed,
            property_plan_ha: totals.property_plan_ha,
            planted_plan_ha: planted,
            left_plan_ha: totals.left_plan_ha,
            stands_plan_ha: totals.stands_plan_ha,
            keep_clear_plan_ha: totals.keep_clear_plan_ha,
            seedlings: totals.seedlings,
            order_qty: totals.order_qty,
            stems_ha: (planted > 0.0).then(|| totals.seedlings as f64 / planted),
            cost_nzd: totals.cost_nzd,
            person_days: totals.person_days,
        }
    }
}

fn refuse_other_system(a: &Side, b: &Side, second: &Path) -> Result<(), Problem> {
    if a.layers.crs.is_same(&b.layers.crs) {
        return Ok(());
    }
    Err(Problem::error("coordinate system")
        .file(plan_file(second))
        .found(b.layers.crs.describe())
        .expected(format!("{}, that of the first plan", a.layers.crs.describe()))
        .remedy("make one of the plans again with `site.crs` set to the system of the other"))
}

fn refuse_other_ground(a: &Side, pieces: &[Piece], second: &Path) -> Result<(), Problem> {
    if pieces.iter().any(|piece| piece.from.is_some() && piece.to.is_some()) {
        return Ok(());
    }
    Err(Problem::error("property")
        .file(plan_file(second))
        .found("ground that nowhere meets that of the first plan")
        .expected(format!("a plan of {}", a.told.site))
        .remedy("name two plans of the same property"))
}

fn other_name(a: &Told, b: &Told, second: &Path) -> Option<Problem> {
    (a.site != b.site).then(|| {
        Problem::warning("site")
            .file(plan_file(second))
            .found(format!("`{}`", b.site))
            .expected(format!("`{}`, the name in the first plan", a.site))
            .remedy("see that both are plans of one property")
    })
}

/// Ground from what to what, and each piece of it.
fn changes(from: &[Part], to: &[Part], pieces: Vec<Piece>) -> (Matrix, Vec<PieceRow>) {
    let outside = BTreeMap::from([(OUTSIDE.to_owned(), 1.0)]);
    let mut matrix = Matrix::new();
    let row = |(number, piece): (usize, Piece)| {
        let [a, b] = [piece.from.map(|at| &from[at]), piece.to.map(|at| &to[at])];
        let [on_a, on_b] = [a, b].map(|part| part.map_or(&outside, |part| &part.on_it));
        let [stems_a, stems_b] = [a, b].map(|part| part.map_or(0.0, |part| part.stems_ha));
        let hectares = PlanHectares::from_m2(piece.area.unsigned_area());
        let mut own = Matrix::new();
        matrix::add(&mut own, on_a, on_b, hectares.0);
        let changed = matrix::changed(&own);
        for (pair, area) in own {
            *matrix.entry(pair).or_default() += area;
        }
        let change = if changed > SAME_SHARE * hectares.0 {
            "line"
        } else if a.zip(b).is_some_and(|(a, b)| other_density(a, b)) {
            "density"
        } else {
            "none"
        };
        PieceRow {
            piece_id: format!("C{:03}", number + 1),
            from_zone: a.map(|part| part.id.clone()),
            to_zone: b.map(|part| part.id.clone()),
            from_lines: words(on_a),
            to_lines: words(on_b),
            from_stems_ha: stems_a,
            to_stems_ha: stems_b,
            change,
            line_changes_plan_ha: changed,
            plan_area_ha: hectares,
            geometry: piece.area,
        }
    };
    let rows = pieces.into_iter().enumerate().map(row).collect();
    (matrix, rows)
}

/// The widest change first, then what stays.
fn ground_rows(matrix: Matrix) -> Vec<GroundChangeRow> {
    let row =
        |((from, to), hectares)| GroundChangeRow { from, to, plan_area_ha: PlanHectares(hectares) };
    let mut rows: Vec<GroundChangeRow> =
        matrix::without_crumbs(matrix).into_iter().map(row).collect();
    rows.sort_by(|a, b| {
        let stays = |row: &GroundChangeRow| row.from == row.to;
        let wider = b.plan_area_ha.0.total_cmp(&a.plan_area_ha.0);
        stays(a).cmp(&stays(b)).then(wider)
    });
    rows
}

fn inputs(a: &Told, b: &Told) -> Differences {
    let of = |told: &Told| -> BTreeMap<String, String> {
        told.inputs.iter().map(|one| (one.file.clone(), one.sha256.clone())).collect()
    };
    differences(&of(a), &of(b))
}

fn defaults(a: &Told, b: &Told) -> Differences {
    let of = |told: &Told| -> BTreeMap<String, String> {
        told.defaults.iter().map(|one| (one.key.clone(), one.value.clone())).collect()
    };
    differences(&of(a), &of(b))
}

fn differences(a: &BTreeMap<String, String>, b: &BTreeMap<String, String>) -> Differences {
    let names: BTreeSet<&String> = a.keys().chain(b.keys()).collect();
    let (same, changed): (Vec<&String>, Vec<&String>) =
        names.into_iter().partition(|name| a.get(*name) == b.get(*name));
    let row = |name: &String| DifferenceRow {
        name: name.clone(),
        a: a.get(name).cloned(),
        b: b.get(name).cloned(),
    };
    Differences { same: same.len(), changed: changed.into_iter().map(row).collect() }
}

/// Lines in the order of the first plan's stock, then those of the second alone.
fn lines(a: &Told, b: &Told) -> Vec<LineChangeRow> {
    let in_a: BTreeSet<&str> = a.orders.iter().map(|order| order.stock_id.as_str()).collect();
    let of_b_alone = b.orders.iter().filter(|order| !in_a.contains(order.stock_id.as_str()));
    let row = |order: &told::Order| {
        let [a, b] =
            [a, b].map(|told| told.orders.iter().find(|one| one.stock_id == order.stock_id));
        LineChangeRow {
            stock_id: order.stock_id.clone(),
            stock_name: order.name.clone(),
            a_plan_ha: a.map_or(0.0, |one| one.plan_area_ha),
            b_plan_ha: b.map_or(0.0, |one| one.plan_area_ha),
            a_seedlings: a.map_or(0, |one| one.seedlings),
            b_seedlings: b.map_or(0, |one| one.seedlings),
            a_order_qty: a.map_or(0, |one| one.order_qty),
            b_order_qty: b.map_or(0, |one| one.order_qty),
        }
    };
    a.orders.iter().chain(of_b_alone).map(row).collect()
}

fn orders(a: &Told, b: &Told) -> Vec<OrderChangeRow> {
    let mut rows: BTreeMap<(&str, Option<i32>), [u64; 4]> = BTreeMap::new();
    for (at, told) in [a, b].into_iter().enumerate() {
        for order in &told.line_orders {
            let row = rows.entry((&order.stock_id, order.season)).or_default();
            row[at] += order.seedlings;
            row[2 + at] += order.order_qty;
        }
    }
    let row = |((stock_id, season), [a_seedlings, b_seedlings, a_order_qty, b_order_qty]): (
        (&str, _),
        [u64; 4],
    )| {
        OrderChangeRow {
            stock_id: stock_id.to_owned(),
            season,
            a_seedlings,
            b_seedlings,
            a_order_qty,
            b_order_qty,
        }
    };
    rows.into_iter().map(row).collect()
}
