//! What a site says of cover: classes, terrains, and how plants stand.

use cover::Pattern;

use crate::site::{CoverClass, PlantManner, Site};

/// How plants stand.
pub(crate) fn pattern_of(site: &Site) -> Pattern {
    site.cover.pattern.unwrap_or_else(|| as_set_out(site))
}

/// Its cover classes, in the order of their codes.
pub(super) fn covers_of(site: &Site) -> Vec<CoverClass> {
    let table = site.layers.cover.iter().flat_map(|source| &source.table);
    table.map(|row| row.class.clone()).collect()
}

/// Its erosion terrains, in the order of their codes: name, and slope above which their ground may slip.
pub(super) fn terrains_of(site: &Site) -> Vec<(String, f64)> {
    let table = site.layers.erosion_terrain.iter().flat_map(|source| &source.table);
    table.map(|row| (row.class.name.clone(), row.class.slips_from_deg)).collect()
}

/// How plants stand where the site does not say.
fn as_set_out(site: &Site) -> Pattern {
    match site.layout.manner {
        Some(PlantManner::Scattered) => Pattern::Random,
        Some(PlantManner::Triangles) => Pattern::Triangular,
        Some(PlantManner::Rows | PlantManner::Squares) => Pattern::Square,
        None => match site.density.pattern {
            crate::site::Pattern::Square => Pattern::Square,
            crate::site::Pattern::Triangular => Pattern::Triangular,
        },
    }
}
