//! How many plants the ground of a zone asks for, cell by cell.

use crate::ground::Ground;
use crate::site::{CoverClass, DensityRules, Site, Treatment};
use crate::units::{AreaBasis, M2_PER_HA, StemsPerHectare};
use crate::zones::{SlopeGroup, Zone, cover_at};

/// What a whole zone asks for, were all of it planted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneDemand {
    /// Plants in the ground, before rounding.
    pub plants: f64,
    /// Plants to order, losses included, before rounding.
    pub order: f64,
    /// Share of the zone's map area open to planting, 0 to 1.
    pub gap_share: f64,
    /// Plants per open hectare, on the site's basis.
    pub density: StemsPerHectare,
}

impl ZoneDemand {
    /// Expected share of plants that live; 1 where nothing is planted.
    #[must_use]
    pub fn survival(&self) -> f64 {
        if self.order > 0.0 { self.plants / self.order } else { 1.0 }
    }

    /// The same ground at another density, on the same basis.
    #[must_use]
    pub fn at_density(&self, density: StemsPerHectare) -> Self {
        let factor = density.0 / self.density.0;
        Self { plants: self.plants * factor, order: self.order * factor, density, ..*self }
    }
}

/// Sums the demand of a zone's cells: each brings its own slope, cover, density and survival, so
/// that merging never moves a plant. Cells of unknown ground count as level.
#[must_use]
pub fn zone_demand(zone: &Zone, ground: &Ground, site: &Site) -> ZoneDemand {
    let cell_ha = ground.grid().cell_area() / M2_PER_HA;
    let (mut plants, mut order, mut open_basis, mut open_plan, mut plan) = (0., 0., 0., 0., 0.);
    for cell in zone.cells.iter() {
        let at = cell.at as usize;
        let map_ha = f64::from(cell.share) * cell_ha;
        let open_ha = map_ha * gap_share_at(ground, site, at);
        let basis_ha = open_ha * basis_factor(ground, site.density.basis, at);
        let here = basis_ha * density_at(ground, site, at).0;
        plants += here;
        order += here / survival_at(ground, site, at);
        open_basis += basis_ha;
        open_plan += open_ha;
        plan += map_ha;
    }
    let density = if open_basis > 0.0 { plants / open_basis } else { site.density.usual.0 };
    ZoneDemand {
        plants,
        order,
        gap_share: if plan > 0.0 { open_plan / plan } else { 0.0 },
        density: StemsPerHectare(density),
    }
}

/// Hectares of the density's basis in one map hectare of a cell.
pub(super) fn basis_factor(ground: &Ground, basis: AreaBasis, at: usize) -> f64 {
    match basis {
        AreaBasis::Plan => 1.0,
        AreaBasis::Ground => Some(ground.area_factor(at)).filter(|f| f.is_finite()).unwrap_or(1.0),
    }
}

/// Share of a cell's ground that is open to planting: all of it where cover is cleared, the gaps
/// of patchy cover, nothing of cover that stays.
#[must_use]
pub fn gap_share_at(ground: &Ground, site: &Site, at: usize) -> f64 {
    match cover_at(ground, site, at).1 {
        Treatment::Plant => 1.0,
        Treatment::Infill => class_at(ground, site, at).map_or(1.0, |class| class.gap_share),
        Treatment::Keep | Treatment::Never => 0.0,
    }
}

/// The cover class of a cell; `None` where cover is not known.
fn class_at<'a>(ground: &Ground, site: &'a Site, at: usize) -> Option<&'a CoverClass> {
    let (index, _) = cover_at(ground, site, at);
    let table = &site.layers.cover.as_ref()?.table;
    table.get(usize::from(index)).map(|row| &row.class)
}

/// Density of a cell: by its cover, else by its slope group, else the usual one.
pub(super) fn density_at(ground: &Ground, site: &Site, at: usize) -> StemsPerHectare {
    let rules = &site.density;
    let by_cover = class_at(ground, site, at).and_then(|class| density_of_cover(rules, class));
    by_cover.unwrap_or_else(|| {
        let slope = f64::from(ground.slope_deg.cells()[at]);
        let letter = SlopeGroup::of(slope, site.zones.slope_edges).letter();
        let rule = rules.by_slope_group.iter().find(|(letters, _)| letters.contains(letter));
        rule.map_or(rules.usual, |(_, density)| *density)
    })
}

fn density_of_cover(rules: &DensityRules, class: &CoverClass) -> Option<StemsPerHectare> {
    rules.by_cover.iter().find(|(name, _)| *name == class.name).map(|(_, density)| *density)
}

/// Expected survival on a cell: its cover's own, else by slope.
fn survival_at(ground: &Ground, site: &Site, at: usize) -> f64 {
    let of_cover = class_at(ground, site, at).and_then(|class| class.survival);
    of_cover.unwrap_or_else(|| {
        let steep = f64::from(ground.slope_deg.cells()[at]) > site.survival.steep_from_deg;
        if steep { site.survival.steep } else { site.survival.gentle }
    })
}
