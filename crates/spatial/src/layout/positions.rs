//! Where every plant of the plan stands.

use geo::buffer::{Buffer, BufferStyle, LineJoin};
use geo::{BooleanOps, BoundingRect, Intersects, LineString, MultiPolygon, Rect};
use rayon::prelude::*;
use setout::{Face, Manner, Outline, Setting, SettingOut, set_out};
use terrain::{Grid, Raster};

use super::stocking::{Densities, GapShares, basis_factor};
use super::{Planting, spacing_at_density};
use crate::counts::BlockCount;
use crate::overrides::Overrides;
use crate::problem::Problem;
use crate::site::{LayoutRules, PlantManner, Site};
use crate::units::M2_PER_HA;
use crate::zones::{Zone, Zones, rings};

/// A plant of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plant {
    /// Position of its block.
    pub block: u32,
    /// Easting and northing in the plan's coordinate system, metres.
    pub at: [f64; 2],
    /// Height of the ground, metres.
    pub height_m: f32,
    /// Its row in the zone, counted from 1 at the top; 0 where plants stand in none.
    pub row: u32,
}

/// Plants of all blocks, and what came of blocks that could not hold theirs.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Plants {
    /// Block by block within a zone, each in the order in which it is planted.
    pub plants: Vec<Plant>,
    /// Plants that found no place, by block.
    pub without_place: Vec<u64>,
    /// What is worth a look.
    pub warnings: Vec<Problem>,
}

/// Cells around a zone that its rows may run over: enough for slopes at its border.
const MARGIN: usize = 3;
/// Corners of crown borders round a bend: an arc of 15° a piece stays within 1 % of the distance.
const ARC: f64 = std::f64::consts::PI / 12.0;

/// Sets out every zone that the site wants positions of, zones side by side, with as many plants as
/// its blocks count.
///
/// Winters take consecutive rows from the top; lines planted in the same winter are interleaved at
/// their shares. Same input, same positions on any number of
/// threads.
///
/// # Cost
/// Goes with the cells under the zones, made as fine as half a spacing, and with the plants.
#[must_use]
pub fn positions(planting: &Planting<'_>, overrides: &Overrides, seed: u64) -> Plants {
    let Planting { zones, site, blocks, .. } = *planting;
    let Some(manner) = manner(&site.layout) else { return Plants::default() };
    let wanted = (0..zones.zones.len())
        .into_par_iter()
        .filter(|zone| !overrides.of_zone(*zone).any(|one| one.counts_only));
    let of_zone = |zone: usize| {
        let own = planting.blocks_of(zone);
        let Some((parts, demand)) = planting.mixture(zone) else { return (zone, own, None) };
        let plants: u64 = own.iter().map(|at| blocks[*at].seedlings).sum();
        let asked = Setting {
            manner,
            plants: plants as usize,
            spacing_m: spacing_at_density(site.density.pattern, demand.density).0,
            least_share: site.layout.least_share,
            seed: seed ^ (zone as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15),
        };
        let out = face(planting, zone, &parts, &asked).map(|face| set_out(&face, &asked));
        (zone, own, out)
    };
    let set: Vec<(usize, Vec<usize>, Option<SettingOut>)> = wanted.map(of_zone).collect();
    let mut all = Plants { without_place: vec![0; blocks.len()], ..Plants::default() };
    for (zone, own, out) in set {
        let Some(out) = out else { continue };
        if out.without_place > 0 {
            all.warnings.push(crowded(&zones.zones[zone], out.without_place, site));
        }
        all.give(&own, blocks, &out);
    }
    all
}

impl Plants {
    /// Gives the plants of a zone to its blocks.
    fn give(&mut self, own: &[usize], blocks: &[BlockCount], out: &SettingOut) {
        let mut counts: Vec<usize> = own.iter().map(|at| blocks[*at].seedlings as usize).collect();
        for _ in 0..out.without_place {
            // From the largest, the first among equals.
            let largest = (0..counts.len()).max_by_key(|at| (counts[*at], usize::MAX - at));
            if let Some(largest) = largest {
                counts[largest] = counts[largest].saturating_sub(1);
                self.without_place[own[largest]] += 1;
            }
        }
        let mut seasons: Vec<usize> = own.iter().map(|at| blocks[*at].season).collect();
        seasons.sort_unstable();
        seasons.dedup();
        let mut turns = Vec::with_capacity(out.positions.len());
        for season in seasons {
            let lines: Vec<usize> =
                (0..own.len()).filter(|at| blocks[own[*at]].season == season).collect();
            let plants: Vec<usize> = lines.iter().map(|at| counts[*at]).collect();
            turns.extend(setout::interleave(&plants).into_iter().map(|line| own[lines[line]]));
        }
        self.plants.extend(out.positions.iter().zip(turns).map(|(position, block)| Plant {
            block: block as u32,
            at: [position.x, position.y],
            height_m: position.height_m,
            row: position.row,
        }));
    }
}

fn manner(rules: &LayoutRules) -> Option<Manner> {
    rules.manner.map(|manner| match manner {
        PlantManner::Rows => Manner::ContourRows { straight_below_deg: rules.straight_below_deg },
        PlantManner::Squares => Manner::Squares,
        PlantManner::Triangles => Manner::Triangles,
        PlantManner::Scattered => Manner::Scattered,
    })
}

/// The ground of a zone, less what lies under the crowns of stands beside it, with the plants that
/// lines ask for by their parts.
fn face(
    planting: &Planting<'_>,
    zone: usize,
    parts: &[(usize, f64)],
    asked: &Setting,
) -> Option<Face> {
    let Planting { zones, ground, site, library, .. } = *planting;
    let name = |line: usize| library.stocks()[line].id.as_str();
    let lines: Vec<(&str, f64)> = parts.iter().map(|(line, part)| (name(*line), *part)).collect();
    let (densities, gaps) = (Densities::of(site, &lines), GapShares::of(site));
    let own = &zones.zones[zone];
    let shape = clear_of_stands(own, zones, site.layout.clear_of_stands.0);
    let window = window(ground.grid(), &own.geometry)?;
    let (first_row, first_col) = window.origin;
    let cols = ground.grid().cols();
    let at = |row: usize, col: usize| (first_row + row) * cols + first_col + col;
    let heights = Raster::from_fn(window.grid, |row, col| ground.elevation_m.cells()[at(row, col)]);
    let plants = Raster::from_fn(window.grid, |row, col| {
        let at = at(row, col);
        let open = gaps.at(ground, at) * basis_factor(ground, site.density.basis, at);
        (open * densities.at(ground, site, at).0 / M2_PER_HA) as f32
    });
    Face::new(&heights, &plants, Outline::new(&corners(&shape)), asked.spacing_m).ok()
}

fn clear_of_stands(zone: &Zone, zones: &Zones, crown_m: f64) -> MultiPolygon<f64> {
    let mut shape = zone.geometry.clone();
    if crown_m <= 0.0 {
        return shape;
    }
    let Some(bounds) = shape.bounding_rect() else { return shape };
    let near = Rect::new(
        (bounds.min().x - crown_m, bounds.min().y - crown_m),
        (bounds.max().x + crown_m, bounds.max().y + crown_m),
    );
    let style = BufferStyle::new(crown_m).line_join(LineJoin::Round(ARC));
    for stand in &zones.stands {
        if stand.geometry.bounding_rect().is_some_and(|own| own.intersects(&near)) {
            shape = shape.difference(&stand.geometry.buffer_with_style(style.clone()));
        }
    }
    shape
}

/// The corners of every ring of a shape.
pub(super) fn corners(shape: &MultiPolygon<f64>) -> Vec<Vec<[f64; 2]>> {
    let corners = |ring: &LineString<f64>| ring.coords().map(|at| [at.x, at.y]).collect();
    shape.iter().flat_map(rings).map(corners).collect()
}

/// Cells of the ground around a shape.
pub(super) struct Window {
    pub(super) grid: Grid,
    /// Row and column of its first cell.
    origin: (usize, usize),
}

pub(super) fn window(grid: &Grid, shape: &MultiPolygon<f64>) -> Option<Window> {
    let bounds = shape.bounding_rect()?;
    let [width, height] = [grid.cell_width(), grid.cell_height()];
    let col = |x: f64| ((x - grid.west()) / width).floor().max(0.0) as usize;
    let row = |y: f64| ((grid.north() - y) / height).floor().max(0.0) as usize;
    let first_col = col(bounds.min().x).saturating_sub(MARGIN);
    let first_row = row(bounds.max().y).saturating_sub(MARGIN);
    let end_col = (col(bounds.max().x) + 1 + MARGIN).min(grid.cols());
    let end_row = (row(bounds.min().y) + 1 + MARGIN).min(grid.rows());
    let window = Grid::new(
        end_col.checked_sub(first_col)?,
        end_row.checked_sub(first_row)?,
        grid.west() + first_col as f64 * width,
        grid.north() - first_row as f64 * height,
        width,
        height,
    );
    Some(Window { grid: window.ok()?, origin: (first_row, first_col) })
}

fn crowded(zone: &Zone, without_place: usize, site: &Site) -> Problem {
    Problem::warning("layout.plants")
        .file(&site.file)
        .found(format!(
            "{}: {without_place} plants would stand closer than {} of the spacing to another",
            zone.id, site.layout.least_share
        ))
        .expected("room for every plant that is counted")
        .remedy(
            "they are left out of counts and order; lower the density there, layout.least_share or \
             layout.clear_of_stands_m",
        )
}

#[cfg(test)]
mod tests {
    use stock::{Library, Stock, StockKind};

    use super::*;
    use crate::ground::Ground;
    use crate::layout::zone_demand;
    use crate::offers::fixture;
    use crate::zones::cell_shares;

    /// Pasture at 400 plants a hectare, gorse at 1,600.
    const SECTIONS: &str = "[layers.cover]\nfile = \"cover.tif\"\n\
        [[layers.cover.class]]\ncode = 1\nname = \"pasture\"\ntreatment = \"plant\"\n\
        [[layers.cover.class]]\ncode = 2\nname = \"gorse\"\ntreatment = \"plant\"\n\
        [density]\nusual_sph = 400\nrule = [{ cover = \"gorse\", sph = 1600, purpose = \"erosion\" }]\n";

    /// Plants on the western half of a zone of 4 ha, which is pasture, its eastern half gorse: 800 and
    /// 3,200 are asked for.
    fn on_pasture(manner: &str) -> usize {
        let site = fixture::site(&format!("{SECTIONS}[layout]\nplants = {manner:?}\n"));
        let library = Library::new(vec![Stock::named("one", "One", StockKind::Cultivar)]).unwrap();
        let mut zones = fixture::zones(&[100.0]);
        let grid = fixture::grid(1);
        zones.zones[0].cells = cell_shares(&zones.zones[0].geometry, &grid);
        let level = |value: f32| Raster::filled(grid, value).into();
        let mut ground = Ground::sloping(level(100.0), level(0.0));
        let cover = Raster::from_fn(grid, |_, col| if col < 5 { 1 } else { 2 });
        ground.cover = Some(cover.into());
        let demands = [zone_demand(&zones.zones[0], &ground, &site, &library)];
        assert!((demands[0].lines[0].plants - 4_000.0).abs() < 1e-6);
        let block = BlockCount {
            zone: 0,
            stock: 0,
            season: 0,
            share: 1.0,
            seedlings: 4_000,
            order_qty: 4_000,
            person_days: 0.0,
            cost_nzd: 0.0,
        };
        let planting = Planting {
            zones: &zones,
            ground: &ground,
            site: &site,
            library: &library,
            demands: &demands,
            blocks: &[block],
        };
        let plants = positions(&planting, &Overrides::default(), 7);
        assert_eq!((plants.plants.len(), plants.without_place), (4_000, vec![0]));
        let middle = fixture::CORNER[0] + 100.0;
        plants.plants.iter().filter(|plant| plant.at[0] < middle).count()
    }

    #[test]
    fn plants_stand_closer_where_more_are_asked_for() {
        // Along a row the last plant of the one half stands half its distance into the other.
        for manner in ["rows", "scattered"] {
            let west = on_pasture(manner);
            assert!((760..=840).contains(&west), "{manner}: {west} of 800");
        }
        // One lattice over the whole zone, whatever its parts ask for.
        for manner in ["squares", "triangles"] {
            let west = on_pasture(manner);
            assert!((1_960..=2_040).contains(&west), "{manner}: {west} of 2,000");
        }
    }
}
