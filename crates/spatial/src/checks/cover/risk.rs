//! Ground of each zone that may slip, with what is planted on it, as means over it.

use cover::Planting;
use stock::Library;

use super::kinds::{self, Footing, Part};
use super::planted::{Planted, Told, alive, gap_share, open_per_ha};
use super::setting::Tables;
use crate::pipeline::{Fitted, Property};
use crate::problem::Problem;
use crate::site::{CoverClass, Site, Treatment};
use crate::units::M2_PER_HA;
use crate::zones::CellShares;

/// Ground of a zone that may slip.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ZoneRisk {
    /// Map area, hectares.
    pub(crate) area_ha: f64,
    /// Share that stays covered when it is planted.
    pub(crate) stays: f64,
    /// Share that is open to planting.
    pub(crate) gaps: f64,
    /// Share of the usual radius that plants reach.
    pub(crate) grown: f64,
    /// What is planted on a map hectare of open ground, with its line.
    pub(crate) plantings: Vec<(usize, Planting)>,
}

/// Ground of each zone that may slip under a plan, as means over it: what is drawn again and again where the
/// plan may be off.
///
/// # Errors
/// When the plan is one of other ground or stock.
pub(crate) fn risks_of(fitted: &Fitted, told: &Told) -> Result<Vec<Option<ZoneRisk>>, Problem> {
    let Property { site, library, ready, ground, zones } = &**fitted;
    let mut planted = Planted::of(told, zones, library, site.mosaic.fit_floor)?;
    let tables = Tables::of(site);
    let footing = tables.footing(site, ready, &ground.slope_deg);
    let cells: Vec<&CellShares> = zones.zones.iter().map(|zone| &zone.cells).collect();
    let (parts, _) = kinds::parts(&footing, &footing.numbered(), &cells);
    planted.scale(&parts, &footing, site, library);
    Ok(zone_risks(&parts, &planted, &footing, (site, library)))
}

/// By zone; `None` where a zone has no such ground.
fn zone_risks(
    parts: &[Part],
    planted: &Planted,
    footing: &Footing<'_>,
    (site, library): (&Site, &Library),
) -> Vec<Option<ZoneRisk>> {
    let mut sums: Vec<Sums> = planted.blocks.iter().map(|blocks| Sums::new(blocks.len())).collect();
    for part in parts.iter().filter(|part| footing.may_slip(part.kind)) {
        let class = footing.class(part.kind);
        let treatment = class.map_or(Treatment::Plant, |class| class.treatment);
        if treatment == Treatment::Never {
            continue;
        }
        let sum = &mut sums[part.owner];
        let m2 = part.plan_m2;
        let stays = if treatment == Treatment::Plant {
            0.0
        } else {
            class.map_or(0.0, CoverClass::protects)
        };
        let open_m2 = gap_share(part, footing) * m2;
        sum.m2 += m2;
        sum.stays += stays * m2;
        sum.open += open_m2;
        sum.grown +=
            if footing.is_scar(part.kind) { footing.rules.scar_growth } else { 1.0 } * open_m2;
        for (block, sum) in planted.blocks[part.owner].iter().zip(&mut sum.blocks) {
            let plants = open_per_ha(part, block.line, footing, site, library)
                * block.share
                * block.scale
                * open_m2;
            sum.0 += plants;
            sum.1 += plants * alive(part, block.line, footing, site, library);
        }
    }
    sums.into_iter()
        .zip(&planted.blocks)
        .map(|(sum, blocks)| {
            let planting = |(block, (plants, living)): (&super::planted::Block, &(f64, f64))| {
                let planted_per_ha = plants / sum.open;
                let alive = living / plants;
                (block.line, Planting { year: block.years, planted_per_ha, alive })
            };
            let is_planted =
                |(_, (plants, _)): &(&super::planted::Block, &(f64, f64))| *plants > 0.0;
            (sum.m2 > 0.0).then(|| ZoneRisk {
                area_ha: sum.m2 / M2_PER_HA,
                stays: sum.stays / sum.m2,
                gaps: sum.open / sum.m2,
                grown: if sum.open > 0.0 { sum.grown / sum.open } else { 1.0 },
                plantings: blocks
                    .iter()
                    .zip(&sum.blocks)
                    .filter(is_planted)
                    .map(planting)
                    .collect(),
            })
        })
        .collect()
}

/// Sums over the parts of a zone, square metres and plants.
struct Sums {
    m2: f64,
    stays: f64,
    open: f64,
    grown: f64,
    /// By block: plants, and those of them that live, times square metres.
    blocks: Vec<(f64, f64)>,
}

impl Sums {
    fn new(blocks: usize) -> Self {
        Self { m2: 0.0, stays: 0.0, open: 0.0, grown: 0.0, blocks: vec![(0.0, 0.0); blocks] }
    }
}
