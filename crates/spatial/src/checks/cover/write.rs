//! A check of cover as files.

use std::path::Path;

use super::CheckedCover;
use super::columns::{BY_YEAR, PIECES};
use super::page::page;
use super::rows::{CoverCheck, PieceRow};
use crate::problem::Problem;
use crate::write::{About, Layer, StagedFolder, Written, write_raster, write_tables};

/// Cover by class of ground, measure and year.
pub(crate) const COVER_BY_YEAR_CSV: &str = "cover_by_year.csv";
/// Pieces below the target.
pub(crate) const COVER_PIECES_CSV: &str = "cover_pieces.csv";
/// The same as a layer.
pub(crate) const COVER_GPKG: &str = "cover.gpkg";
/// Its layer.
const COVER_PIECES: &str = "cover_pieces";
/// Share protected today.
pub(crate) const COVER_NOW_TIF: &str = "cover_now.tif";
/// Share protected at the target year.
pub(crate) const COVER_THEN_TIF: &str = "cover_then.tif";
/// The page to read and print.
pub(crate) const COVER_HTML: &str = "cover.html";
/// The record.
pub(crate) const COVER_JSON: &str = "cover.json";
/// Schema of the record, its first member.
pub(crate) const COVER_SCHEMA: &str = "hillweave.cover/1";

/// Writes every file of a check into a folder, whole or not at all, and says which.
///
/// # Errors
/// When the folder may not be made or replaced, or the disk or a file format refuses. Nothing new is left
/// then, and what was there stays.
pub fn write_cover(
    checked: &CheckedCover,
    target: &Path,
    overwrite: bool,
) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    let check = &checked.check;
    let crs = checked.crs.definition();
    folder.record(COVER_JSON, check)?;
    folder.table(COVER_BY_YEAR_CSV, &BY_YEAR, &check.by_year_rows, check)?;
    folder.table(COVER_PIECES_CSV, &PIECES, &check.pieces, check)?;
    folder.make(COVER_GPKG, |path| write_tables(path, &[&layer(check)], &crs, &about(check)))?;
    let rasters = [
        (COVER_NOW_TIF, &checked.now, "Share of the ground protected today"),
        (COVER_THEN_TIF, &checked.then, "Share of the ground protected at the target year"),
    ];
    for (file, raster, description) in rasters {
        folder.make(file, |path| write_raster(path, raster, &crs, description, "share"))?;
    }
    folder.write(COVER_HTML, page(check).as_bytes())?;
    folder.commit()
}

fn about(check: &CoverCheck) -> About<'_> {
    About {
        title: format!("Ground below its target of cover: {}", check.site),
        summary: "Connected ground that may slip and is below the target of protective cover at the target year.",
        inputs: &check.inputs,
        steps: &[
            "Ground that may slip told from its slope, its terrain and earlier slips.",
            "Protective cover of every cell reckoned for each year from what grows and what is planted.",
            "Cells below the target joined by their sides; outlines along the cells.",
        ],
        looks: vec![(COVER_PIECES, palette::look::cover_pieces())],
    }
}

fn layer(check: &CoverCheck) -> Layer<'_, PieceRow, CoverCheck> {
    Layer {
        name: COVER_PIECES,
        description: "Ground that may slip and is below the target at the target year, along cells",
        id: "piece_id",
        columns: &PIECES,
        rows: &check.pieces,
        whole: check,
        geometry: |piece| &piece.geometry,
        row_id: |piece| &piece.piece_id,
        polygon_ha: |piece| piece.plan_area_ha.0,
    }
}
