//! The four layers of a plan: rows, columns and polygons together.

use geo::MultiPolygon;

use super::columns::{BLOCK_ID, BLOCKS, Column, KEEP_CLEAR, STANDS, ZONE_ID, ZONES};
use crate::plan::{BlockRow, KeepClearRow, Plan, StandRow, ZoneRow};
use crate::problem::Problem;

/// Rows of one kind, how each becomes values, and where its polygon is; of a whole that is a plan unless it
/// is named.
pub(crate) struct Layer<'a, Row: 'static, Whole: 'static = Plan> {
    /// Name of the layer.
    pub(crate) name: &'static str,
    /// What it holds, for the catalogue of the GeoPackage.
    pub(crate) description: &'static str,
    /// The column that names a row.
    pub(crate) id: &'static str,
    /// The columns, in order.
    pub(crate) columns: &'static [Column<Row, Whole>],
    /// The rows, in order.
    pub(crate) rows: &'a [Row],
    /// What they belong to, a plan unless it is named.
    pub(crate) whole: &'a Whole,
    /// A row's polygon.
    pub(crate) geometry: fn(&Row) -> &MultiPolygon<f64>,
    /// A row's name.
    pub(crate) row_id: fn(&Row) -> &str,
    /// Map hectares that the polygon must have.
    pub(crate) polygon_ha: fn(&Row) -> f64,
}

/// Planting zones.
pub(crate) fn zones(plan: &Plan) -> Layer<'_, ZoneRow> {
    Layer {
        name: "zones",
        description: "Planting zones: ground that asks for one treatment",
        id: ZONE_ID,
        columns: &ZONES,
        rows: &plan.zones,
        whole: plan,
        geometry: |zone| &zone.geometry,
        row_id: |zone| &zone.zone_id,
        polygon_ha: |zone| zone.plan_area_ha.0,
    }
}

/// Blocks; the blocks of one zone lie over one another.
pub(crate) fn blocks(plan: &Plan) -> Layer<'_, BlockRow> {
    Layer {
        name: "blocks",
        description: "Blocks: one zone and one stock; blocks of one zone share its polygon",
        id: BLOCK_ID,
        columns: &BLOCKS,
        rows: &plan.blocks,
        whole: plan,
        geometry: |block| &block.geometry,
        row_id: |block| &block.block_id,
        polygon_ha: |block| block.plan_area_ha.0 / block.share,
    }
}

/// Ground kept clear.
pub(crate) fn keep_clear(plan: &Plan) -> Layer<'_, KeepClearRow> {
    Layer {
        name: "keep_clear",
        description: "Ground that is not planted because of a setback or its cover",
        id: "keep_clear_id",
        columns: &KEEP_CLEAR,
        rows: &plan.keep_clear,
        whole: plan,
        geometry: |piece| &piece.geometry,
        row_id: |piece| &piece.keep_clear_id,
        polygon_ha: |piece| piece.plan_area_ha.0,
    }
}

/// Kept stands.
pub(crate) fn stands(plan: &Plan) -> Layer<'_, StandRow> {
    Layer {
        name: "stands",
        description: "Existing native stands, kept",
        id: "stand_id",
        columns: &STANDS,
        rows: &plan.stands,
        whole: plan,
        geometry: |stand| &stand.geometry,
        row_id: |stand| &stand.stand_id,
        polygon_ha: |stand| stand.plan_area_ha.0,
    }
}

impl<Row, Whole> Layer<'_, Row, Whole> {
    /// A fault of one row, which names it.
    pub(crate) fn fault(&self, row: &Row, found: impl Into<String>, expected: &str) -> Problem {
        Problem::error(format!("{} {} = {}", self.name, self.id, (self.row_id)(row)))
            .found(found)
            .expected(expected)
            .remedy("this is a fault of the program: please report it with the site folder")
    }
}
