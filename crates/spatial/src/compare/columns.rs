//! The columns of the tables of a comparison.

use super::rows::{
    Comparison, GroundChangeRow, LineChangeRow, OrderChangeRow, PieceRow, ZoneChangeRow,
};
use crate::write::columns::Column;
use crate::write::{Kind, Value};

type LineColumn = Column<LineChangeRow, Comparison>;
type OrderColumn = Column<OrderChangeRow, Comparison>;
type GroundColumn = Column<GroundChangeRow, Comparison>;
type ZoneColumn = Column<ZoneChangeRow, Comparison>;
type PieceColumn = Column<PieceRow, Comparison>;

const WORDS: (Kind, &str, &str) = (Kind::Text, "", "");
const MAP_HA: (Kind, &str, &str) = (Kind::Real, "ha", "map");
const PLANTS: (Kind, &str, &str) = (Kind::Integer, "plants", "");
const YEAR: (Kind, &str, &str) = (Kind::Integer, "year", "");
const STEMS: (Kind, &str, &str) = (Kind::Real, "stems/ha", "map");

fn year(season: Option<i32>) -> Value {
    season.and_then(|year| u64::try_from(year).ok()).map_or(Value::Null, Value::Integer)
}

/// Lines in both plans.
#[rustfmt::skip] // a table
pub(crate) static LINES: [LineColumn; 8] = [
    LineColumn::new("stock_id", WORDS, "Line, as named in the stock file.", |r, _| (&r.stock_id).into()),
    LineColumn::new("stock_name", WORDS, "Name of the line.", |r, _| (&r.stock_name).into()),
    LineColumn::new("a_plan_ha", MAP_HA, "Map area in the first plan; 0 where it is not planted.", |r, _| r.a_plan_ha.into()),
    LineColumn::new("b_plan_ha", MAP_HA, "Map area in the second plan.", |r, _| r.b_plan_ha.into()),
    LineColumn::new("a_seedlings", PLANTS, "Plants that go into the ground by the first plan.", |r, _| r.a_seedlings.into()),
    LineColumn::new("b_seedlings", PLANTS, "The same by the second.", |r, _| r.b_seedlings.into()),
    LineColumn::new("a_order_qty", PLANTS, "Plants to order by the first plan.", |r, _| r.a_order_qty.into()),
    LineColumn::new("b_order_qty", PLANTS, "The same by the second.", |r, _| r.b_order_qty.into()),
];

/// Orders by line and winter in both plans.
#[rustfmt::skip] // a table
pub(crate) static ORDERS: [OrderColumn; 6] = [
    OrderColumn::new("stock_id", WORDS, "Line, as named in the stock file.", |r, _| (&r.stock_id).into()),
    OrderColumn::new("season", YEAR, "Winter; null where the plan names no year.", |r, _| year(r.season)),
    OrderColumn::new("a_seedlings", PLANTS, "Plants that go into the ground by the first plan.", |r, _| r.a_seedlings.into()),
    OrderColumn::new("b_seedlings", PLANTS, "The same by the second.", |r, _| r.b_seedlings.into()),
    OrderColumn::new("a_order_qty", PLANTS, "Plants to order by the first plan.", |r, _| r.a_order_qty.into()),
    OrderColumn::new("b_order_qty", PLANTS, "The same by the second.", |r, _| r.b_order_qty.into()),
];

/// Ground from what to what.
#[rustfmt::skip] // a table
pub(crate) static GROUND: [GroundColumn; 3] = [
    GroundColumn::new("from_on_it", WORDS, "What stands there by the first plan: a line, not planted, kept stand, kept clear, or outside the plan.", |r, _| (&r.from).into()),
    GroundColumn::new("to_on_it", WORDS, "What stands there by the second plan.", |r, _| (&r.to).into()),
    GroundColumn::new("plan_area_ha", MAP_HA, "Map area; of mixtures the smaller share stays, the rest changes in proportion.", |r, _| r.plan_area_ha.0.into()),
];

/// Zones that are not the same polygon in both.
#[rustfmt::skip] // a table
pub(crate) static ZONES: [ZoneColumn; 6] = [
    ZoneColumn::new("change", WORDS, "redrawn: each holds half of the other or more; new: of the second plan alone; gone: of the first alone.", |r, _| r.change.into()),
    ZoneColumn::new("a_zone", WORDS, "Zone of the first plan; null for a new one.", |r, _| r.a_zone.as_ref().into()),
    ZoneColumn::new("b_zone", WORDS, "Zone of the second plan; null for one that is gone.", |r, _| r.b_zone.as_ref().into()),
    ZoneColumn::new("a_plan_ha", MAP_HA, "Map area in the first plan.", |r, _| r.a_plan_ha.into()),
    ZoneColumn::new("b_plan_ha", MAP_HA, "Map area in the second plan.", |r, _| r.b_plan_ha.into()),
    ZoneColumn::new("shared_plan_ha", MAP_HA, "Map area in both; of a new or gone zone that with the zone of the other plan that holds most of it.", |r, _| r.shared_plan_ha.into()),
];

/// Pieces of ground with one part of each plan.
#[rustfmt::skip] // a table
pub(crate) static CHANGES: [PieceColumn; 10] = [
    PieceColumn::new("piece_id", WORDS, "Name of the piece.", |p, _| (&p.piece_id).into()),
    PieceColumn::new("from_zone", WORDS, "Zone, stand or ground kept clear of the first plan; null where it lies outside.", |p, _| p.from_zone.as_ref().into()),
    PieceColumn::new("to_zone", WORDS, "The same of the second plan.", |p, _| p.to_zone.as_ref().into()),
    PieceColumn::new("from_lines", WORDS, "What stands there by the first plan, with shares where it is mixed.", |p, _| (&p.from_lines).into()),
    PieceColumn::new("to_lines", WORDS, "The same by the second plan.", |p, _| (&p.to_lines).into()),
    PieceColumn::new("from_stems_ha", STEMS, "Plants a hectare by the first plan.", |p, _| p.from_stems_ha.into()),
    PieceColumn::new("to_stems_ha", STEMS, "The same by the second plan.", |p, _| p.to_stems_ha.into()),
    PieceColumn::new("change", WORDS, "line: another line, another share of one, or something else than a line; density: the same lines with other plants a hectare; none.", |p, _| p.change.into()),
    PieceColumn::new("line_changes_ha", MAP_HA, "Map area on which the line changes: of a mixture the part that does.", |p, _| p.line_changes_plan_ha.into()),
    PieceColumn::new("plan_area_ha", MAP_HA, "Map area of the piece; all pieces tile the ground of both plans.", |p, _| p.plan_area_ha.0.into()),
];
