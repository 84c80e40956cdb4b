//! From the kind of each cell to one label a cell: zones after merging, stands, patches.

use std::collections::BTreeMap;

use super::classes::ClassCode;
use super::kinds::{CellKind, Cells};
use super::merge::{Least, merge};
use super::regions::{Regions, label_regions};
use super::spread::spread_labels;
use super::walls::Walls;
use crate::site::Site;
use terrain::Grid;

/// What the cells of one label are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LabelKind {
    /// Planting zone.
    Zone,
    /// Kept stand: position in the cover table.
    Stand(u8),
    /// Beyond the cells of a kept stand, by the stand's label: its edge where no setback begins.
    StandEdge(u32),
    /// Never planted: position in the cover table.
    Never(u8),
    /// Ground not known.
    Unknown,
}

/// One label a cell (0: none), and what each label is.
pub(super) struct Labels {
    /// Label of each cell, spread a little beyond the ground it stands for.
    pub(super) cells: Vec<u32>,
    /// What each label is; position 0 unused.
    pub(super) kinds: Vec<LabelKind>,
    /// Cells of each label before it was spread; position 0: no label.
    pub(super) sizes: Vec<u32>,
    /// Regions of each class that were merged into each zone; position 0 unused.
    pub(super) made_of: Vec<BTreeMap<ClassCode, usize>>,
    /// Which labels are zones drawn by hand.
    pub(super) drawn: Vec<bool>,
    /// Unit of each label but edges plus 1, where breaks are drawn; empty where none are.
    pub(super) units: Vec<u32>,
    /// Regions of ground to plant before merging.
    pub(super) regions: usize,
}

/// Labels every cell. Zones grow on plantable ground alone, so that none reaches across a setback,
/// a stand or ground that is not known.
///
/// Memory: 4 bytes a cell, and some 60 for each region and each two that touch.
pub(super) fn label_cells(cells: &mut Cells, site: &Site, grid: &Grid) -> Labels {
    let cols = grid.cols();
    let walls = cells.units.as_ref().map_or_else(Walls::none, |units| units.walls(cols));
    let mut regions = label_regions(&*cells, cells.len(), cols, &walls);
    let mut kinds = kinds_of(&regions);
    if open_small_patches(cells, &regions, &kinds, grid, site.zones.min_patch_m2) {
        drop(regions);
        regions = label_regions(&*cells, cells.len(), cols, &walls);
        kinds = kinds_of(&regions);
    }
    let region_units = units_of(&regions, cells);
    if let Some(units) = &mut cells.units {
        units.forget_cells();
    }
    let codes: Vec<Option<ClassCode>> = kinds
        .iter()
        .map(|kind| match kind {
            CellKind::Plantable(code) => Some(*code),
            _ => None,
        })
        .collect();
    let plantable = codes.iter().flatten().count();
    let (zone_of, sizes) = merge(&mut regions, cols, &codes, least(site, grid), &walls);

    let mut label_kinds = vec![LabelKind::Unknown; regions.count + 1];
    let mut made_of = vec![BTreeMap::new(); regions.count + 1];
    let mut drawn = vec![false; regions.count + 1];
    for (label, kind) in zone_of.iter().zip(&kinds).skip(1) {
        if let CellKind::Plantable(code) = kind {
            *made_of[*label as usize].entry(*code).or_insert(0) += 1;
        }
        drawn[*label as usize] |= matches!(kind, CellKind::Drawn(_));
        label_kinds[*label as usize] = match kind {
            CellKind::Plantable(_) | CellKind::Drawn(_) => LabelKind::Zone,
            CellKind::Kept(cover) => LabelKind::Stand(*cover),
            CellKind::Never(cover) => LabelKind::Never(*cover),
            CellKind::Unknown => LabelKind::Unknown,
        };
    }
    // What merged lies in one unit.
    let mut units = if region_units.is_empty() { Vec::new() } else { vec![0; regions.count + 1] };
    for (label, unit) in zone_of.iter().zip(&region_units) {
        units[*label as usize] = *unit;
    }
    let spread_as = edges_of_stands(&mut label_kinds);
    let steps = spread_steps(straighten_m(site, grid), grid);
    let mut labels = regions.cells;
    spread_labels(&mut labels, cols, steps, &spread_as);
    Labels { cells: labels, kinds: label_kinds, sizes, made_of, drawn, units, regions: plantable }
}

/// What zones must come to, in cells.
fn least(site: &Site, grid: &Grid) -> Least {
    let cells = (site.zones.min_area_m2 / grid.cell_area()).ceil().min(f64::from(u32::MAX));
    let side = (site.zones.min_width.0 / shorter_side(grid)).ceil().min(f64::from(u16::MAX));
    Least { cells: cells as u32, side: side as u16 }
}

/// Makes patches of kept and never-planted cover that are too small to draw go by the classes of
/// their ground, as if it were open; the counts still read their own cells. Whether there were any.
fn open_small_patches(
    cells: &mut Cells,
    regions: &Regions,
    kinds: &[CellKind],
    grid: &Grid,
    least_m2: f64,
) -> bool {
    let small: Vec<bool> = kinds
        .iter()
        .zip(&regions.facts)
        .map(|(kind, region)| {
            matches!(kind, CellKind::Kept(_) | CellKind::Never(_))
                && f64::from(region.cells) * grid.cell_area() < least_m2
        })
        .collect();
    let any = small.iter().any(|small| *small);
    if any {
        for (at, region) in regions.cells.iter().enumerate() {
            if small[*region as usize] {
                cells.open(at);
            }
        }
    }
    any
}

/// The kind of each region; position 0 unused.
fn kinds_of(regions: &Regions) -> Vec<CellKind> {
    regions.facts.iter().map(|region| CellKind::of(region.value)).collect()
}

/// The unit of each region, plus 1; empty where no break is drawn.
fn units_of(regions: &Regions, cells: &Cells) -> Vec<u32> {
    let Some(units) = &cells.units else { return Vec::new() };
    let mut of_regions = vec![0; regions.count + 1];
    for (region, unit) in regions.cells.iter().zip(&units.of_cells) {
        of_regions[*region as usize] = *unit;
    }
    of_regions[0] = 0;
    of_regions
}

/// Adds one edge label for each stand, and says as what each label spreads: a stand that spread as
/// itself would claim the setbacks beside it.
fn edges_of_stands(kinds: &mut Vec<LabelKind>) -> Vec<u32> {
    let labels = kinds.len();
    let mut spread_as: Vec<u32> = (0..labels as u32).collect();
    for label in 1..labels {
        if matches!(kinds[label], LabelKind::Stand(_)) {
            spread_as[label] = kinds.len() as u32;
            kinds.push(LabelKind::StandEdge(label as u32));
        }
    }
    spread_as.extend(labels as u32..kinds.len() as u32);
    spread_as
}

/// Far enough that a straightened border never uncovers ground inside the property.
fn spread_steps(straighten_m: f64, grid: &Grid) -> u32 {
    4 + 2 * (straighten_m / shorter_side(grid)).ceil() as u32
}

/// How far borders may move when they are straightened: as the site says, or one cell.
pub(super) fn straighten_m(site: &Site, grid: &Grid) -> f64 {
    site.zones.straighten.map_or_else(|| shorter_side(grid), |metres| metres.0)
}

fn shorter_side(grid: &Grid) -> f64 {
    grid.cell_width().min(grid.cell_height())
}
