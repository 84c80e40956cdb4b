//! What a site says of cover: classes, terrains, and how plants stand.

use cover::Pattern;
use terrain::Raster;

use super::kinds::Footing;
use crate::read::Ready;
use crate::site::{CoverClass, PlantManner, Site};

/// The tables of a site.
pub(super) struct Tables {
    /// Cover classes, in the order of their codes.
    covers: Vec<CoverClass>,
    /// Erosion terrains, in the order of theirs: name, and slope above which their ground may slip.
    terrains: Vec<(String, f64)>,
}

impl Tables {
    pub(super) fn of(site: &Site) -> Self {
        let covers = site.layers.cover.iter().flat_map(|source| &source.table);
        let terrains = site.layers.erosion_terrain.iter().flat_map(|source| &source.table);
        let terrain = |row: &crate::site::CodeRow<crate::site::ErosionTerrain>| {
            (row.class.name.clone(), row.class.slips_from_deg)
        };
        Self {
            covers: covers.map(|row| row.class.clone()).collect(),
            terrains: terrains.map(terrain).collect(),
        }
    }

    /// What the cells of a site are judged by, without LS and without what regenerates.
    pub(super) fn footing<'a>(
        &'a self,
        site: &'a Site,
        ready: &'a Ready,
        slope_deg: &'a Raster<f32>,
    ) -> Footing<'a> {
        Footing {
            slope_deg,
            cover: ready.cover.as_deref(),
            terrain: ready.erosion_terrain.as_deref(),
            ls: None,
            seeded: None,
            covers: &self.covers,
            terrains: &self.terrains,
            slope_edges: site.zones.slope_edges,
            steep_from_deg: site.survival.steep_from_deg,
            pattern: pattern_of(site),
            rules: &site.cover,
        }
    }
}

/// How plants stand.
pub(crate) fn pattern_of(site: &Site) -> Pattern {
    site.cover.pattern.unwrap_or_else(|| as_set_out(site))
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
