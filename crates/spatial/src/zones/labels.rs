//! From the kind of each cell to one label a cell: zones after merging, stands, patches.

use super::classes::{ClassCode, Classes};
use super::kinds::{CellKind, class_at};
use super::merge::merge_small;
use super::regions::{NO_REGION, label_regions};
use super::spread::spread_labels;
use crate::ground::Ground;
use crate::site::{Site, Treatment};
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
    /// Regions merged into each zone; position 0 unused.
    pub(super) merged_regions: Vec<usize>,
    /// Regions before merging.
    pub(super) regions: usize,
    /// Number of zones: labels 1 to this.
    pub(super) zones: usize,
    /// Zones below the minimum area, closed in by hard breaks.
    pub(super) below_minimum: usize,
}

/// Labels every cell. Zones grow on plantable ground alone, so that none reaches across a setback,
/// a stand or ground that is not known.
pub(super) fn label_cells(kinds: &[CellKind], ground: &Ground, site: &Site) -> Labels {
    let grid = ground.grid();
    let (cols, cell_area) = (grid.cols(), grid.cell_area());
    let (patches, patch_kinds, patch_cells) = patches(kinds, cols);
    let drawn = |patch: u32| {
        let unknown = matches!(patch_kinds[patch as usize], LabelKind::Unknown);
        let area = patch_cells[patch as usize] as f64 * cell_area;
        patch != NO_REGION && (unknown || area >= site.zones.min_patch_m2)
    };
    let values = zone_values(kinds, |at| drawn(patches[at]), ground, site);
    let (regions, count) = label_regions(&values, cols);
    let codes = region_codes(&regions, &values, count);
    let min_cells = (site.zones.min_area_m2 / cell_area).ceil() as u32;
    let merged = merge_small(&regions, cols, &codes, min_cells);

    let mut label_kinds = vec![LabelKind::Zone; merged.zones + 1];
    let mut label_of_patch = vec![0; patch_kinds.len()];
    for patch in (1..patch_kinds.len()).filter(|patch| drawn(*patch as u32)) {
        label_of_patch[patch] = label_kinds.len() as u32;
        label_kinds.push(patch_kinds[patch]);
    }
    let mut cells: Vec<u32> = (regions.iter().zip(&patches))
        .map(|(region, patch)| match merged.zone_of[*region as usize] {
            NO_REGION => label_of_patch[*patch as usize],
            zone => zone,
        })
        .collect();
    let below_minimum = count_below(&cells, merged.zones, min_cells);
    let spread_as = edges_of_stands(&mut label_kinds);
    let steps = spread_steps(straighten_m(site, grid), grid);
    spread_labels(&mut cells, cols, steps, &spread_as);
    let mut merged_regions = vec![0; merged.zones + 1];
    for zone in &merged.zone_of[1..] {
        merged_regions[*zone as usize] += 1;
    }
    Labels {
        cells,
        kinds: label_kinds,
        merged_regions,
        regions: count,
        zones: merged.zones,
        below_minimum,
    }
}

/// Regions of equal cover that is kept, never planted, or unknown.
fn patches(kinds: &[CellKind], cols: usize) -> (Vec<u32>, Vec<LabelKind>, Vec<usize>) {
    let fixed = |kind: &CellKind| {
        matches!(kind, CellKind::Kept(_) | CellKind::Never(_) | CellKind::Unknown).then_some(*kind)
    };
    let values: Vec<Option<CellKind>> = kinds.iter().map(fixed).collect();
    let (patches, count) = label_regions(&values, cols);
    let mut patch_kinds = vec![LabelKind::Unknown; count + 1];
    let mut cells = vec![0; count + 1];
    for (patch, kind) in patches.iter().zip(kinds) {
        cells[*patch as usize] += 1;
        patch_kinds[*patch as usize] = match kind {
            CellKind::Kept(cover) => LabelKind::Stand(*cover),
            CellKind::Never(cover) => LabelKind::Never(*cover),
            _ => LabelKind::Unknown,
        };
    }
    (patches, patch_kinds, cells)
}

/// What bounds zones, cell by cell. A patch too small to draw goes by the classes of its ground,
/// as if it were open; the counts still read its own cells.
fn zone_values(
    kinds: &[CellKind],
    drawn: impl Fn(usize) -> bool,
    ground: &Ground,
    site: &Site,
) -> Vec<Option<ClassCode>> {
    let as_open = |at: usize| {
        let classes = class_at(ground, site, at)?.unpack();
        let open = Classes { treatment: Treatment::Plant, ..classes };
        Some(ClassCode::pack(open).bounded_by(&site.zones.factors))
    };
    let value = |(at, kind): (usize, &CellKind)| match kind {
        CellKind::Plantable(code) => Some(*code),
        CellKind::Kept(_) | CellKind::Never(_) if !drawn(at) => as_open(at),
        _ => None,
    };
    kinds.iter().enumerate().map(value).collect()
}

/// The class of each region; position 0 unused.
fn region_codes(regions: &[u32], values: &[Option<ClassCode>], count: usize) -> Vec<ClassCode> {
    let mut codes = vec![ClassCode::at(0); count + 1];
    for (region, value) in regions.iter().zip(values) {
        if let Some(code) = value {
            codes[*region as usize] = *code;
        }
    }
    codes
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

fn count_below(cells: &[u32], zones: usize, min_cells: u32) -> usize {
    let mut sizes = vec![0_u32; zones + 1];
    for label in cells.iter().filter(|label| (1..=zones as u32).contains(label)) {
        sizes[*label as usize] += 1;
    }
    sizes[1..].iter().filter(|size| **size < min_cells).count()
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
