//! The columns of the tables of chances.

use super::rows::{Chances, FigureRow, LineChanceRow, ZoneChanceRow};
use crate::write::columns::Column;
use crate::write::{Kind, Value};

type FigureColumn = Column<FigureRow, Chances>;
type LineColumn = Column<LineChanceRow, Chances>;
type ZoneColumn = Column<ZoneChanceRow, Chances>;

const WORDS: (Kind, &str, &str) = (Kind::Text, "", "");
const NUMBER: (Kind, &str, &str) = (Kind::Real, "see unit", "");
const PLANTS: (Kind, &str, &str) = (Kind::Integer, "plants", "");
const SHARE: (Kind, &str, &str) = (Kind::Real, "0 to 1", "draws");

/// Whole-plan figures.
#[rustfmt::skip] // a table
pub(crate) static FIGURES: [FigureColumn; 6] = [
    FigureColumn::new("figure", WORDS, "What it is.", |f, _| f.figure.into()),
    FigureColumn::new("unit", WORDS, "Its unit.", |f, _| f.unit.into()),
    FigureColumn::new("plan", NUMBER, "Where nothing is off.", |f, _| f.plan.into()),
    FigureColumn::new("low", NUMBER, "One draw in twenty lies below.", |f, _| f.low.into()),
    FigureColumn::new("middle", NUMBER, "Half of the draws lie below.", |f, _| f.middle.into()),
    FigureColumn::new("high", NUMBER, "One draw in twenty lies above; 61 years stand for never.", |f, _| f.high.into()),
];

/// Lines that are planted.
#[rustfmt::skip]
pub(crate) static LINES: [LineColumn; 11] = [
    LineColumn::new("stock_id", WORDS, "The line.", |l, _| (&l.stock_id).into()),
    LineColumn::new("stock_name", WORDS, "Its name.", |l, _| (&l.stock_name).into()),
    LineColumn::new("seedlings", PLANTS, "Plants in the ground, by the plan.", |l, _| Value::Integer(l.seedlings)),
    LineColumn::new("order_qty", PLANTS, "Plants ordered, by the plan.", |l, _| Value::Integer(l.order_qty)),
    LineColumn::new("needed_low", PLANTS, "To order so that as many live as its ground takes: one draw in twenty lies below.", |l, _| Value::Integer(l.needed_low)),
    LineColumn::new("needed_middle", PLANTS, "Half of the draws lie below.", |l, _| Value::Integer(l.needed_middle)),
    LineColumn::new("needed_high", PLANTS, "One draw in twenty lies above.", |l, _| Value::Integer(l.needed_high)),
    LineColumn::new("alive_low", PLANTS, "Alive of those ordered: one draw in twenty lies below.", |l, _| Value::Integer(l.alive_low)),
    LineColumn::new("alive_middle", PLANTS, "Half of the draws lie below.", |l, _| Value::Integer(l.alive_middle)),
    LineColumn::new("alive_high", PLANTS, "One draw in twenty lies above.", |l, _| Value::Integer(l.alive_high)),
    LineColumn::new("enough_chance", SHARE, "Share of draws in which as many live as its ground takes.", |l, _| l.enough_chance.into()),
];

/// Zones.
#[rustfmt::skip]
pub(crate) static ZONES: [ZoneColumn; 7] = [
    ZoneColumn::new("zone_id", WORDS, "The zone.", |z, _| (&z.zone_id).into()),
    ZoneColumn::new("plan_area_ha", (Kind::Real, "ha", "map"), "Its map area.", |z, _| z.plan_area_ha.0.into()),
    ZoneColumn::new("stock_id", WORDS, "The line that holds most of it in the plan; null: none.", |z, _| z.stock_id.as_ref().into()),
    ZoneColumn::new("keeps", SHARE, "Share of draws in which it is still its line; null: not told.", |z, _| z.keeps.into()),
    ZoneColumn::new("instead", WORDS, "The line that most often stands in its place; null: none.", |z, _| z.instead.as_ref().into()),
    ZoneColumn::new("instead_share", SHARE, "In what share of draws.", |z, _| z.instead_share.into()),
    ZoneColumn::new("note", WORDS, "Why nothing is told; empty where something is.", |z, _| z.note.into()),
];
