//! How many plants the ground of a zone asks for under each line, from its cells.

use stock::{LandformClass, Library, Stock};

use crate::ground::Ground;
use crate::site::{CoverClass, Purpose, Site, Treatment};
use crate::units::{AreaBasis, M2_PER_HA, StemsPerHectare};
use crate::zones::{SlopeGroup, Zone, cover_at, cover_of};

/// What a whole zone asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneDemand {
    /// Share of the zone's map area open to planting, 0 to 1.
    pub gap_share: f64,
    /// By line, were all of the zone planted with it.
    pub lines: Vec<LineDemand>,
}

/// What a whole zone asks for under one line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineDemand {
    /// Plants in the ground, before rounding.
    pub plants: f64,
    /// Plants to order, losses included, before rounding.
    pub order: f64,
    /// Plants per open hectare, on the site's basis.
    pub density: StemsPerHectare,
    /// Days that one person plants all of it.
    pub person_days: f64,
    /// What most of the plants are for.
    pub purpose: Purpose,
}

impl LineDemand {
    /// Expected share of plants that live; 1 where nothing is planted.
    #[must_use]
    pub fn survival(&self) -> f64 {
        if self.order > 0.0 { self.plants / self.order } else { 1.0 }
    }

    /// Days that one person sets so many of its plants, all over its ground.
    #[must_use]
    pub fn days_of(&self, seedlings: u64) -> f64 {
        if self.plants > 0.0 { self.person_days * seedlings as f64 / self.plants } else { 0.0 }
    }

    /// The same ground at another density, on the same basis.
    #[must_use]
    pub fn at_density(&self, density: StemsPerHectare) -> Self {
        let factor = density.0 / self.density.0;
        Self {
            plants: self.plants * factor,
            order: self.order * factor,
            person_days: self.person_days * factor,
            density,
            ..*self
        }
    }
}

impl ZoneDemand {
    /// The same ground at another density of every line, on the same basis.
    #[must_use]
    pub fn at_density(&self, density: StemsPerHectare) -> Self {
        let lines = self.lines.iter().map(|line| line.at_density(density)).collect();
        Self { lines, ..*self }
    }

    /// What all of the zone asks for under several lines, each on so many parts of it; `None` when
    /// there are none. The purpose is that of the line with the largest part.
    #[must_use]
    pub fn mixed(&self, parts: &[(usize, f64)]) -> Option<LineDemand> {
        let whole: f64 = parts.iter().map(|(_, part)| part).sum();
        let largest = parts.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        let mean = |of: fn(&LineDemand) -> f64| {
            parts.iter().map(|(line, part)| of(&self.lines[*line]) * part / whole).sum::<f64>()
        };
        (whole > 0.0).then(|| LineDemand {
            plants: mean(|line| line.plants),
            order: mean(|line| line.order),
            density: StemsPerHectare(mean(|line| line.density.0)),
            person_days: mean(|line| line.person_days),
            purpose: self.lines[largest.0].purpose,
        })
    }
}

/// Open ground of one cover and slope group, gentle or steep.
#[derive(Debug, Clone, Copy, Default)]
struct Piece {
    /// Hectares of map.
    map_ha: f64,
    /// Hectares of the density's basis.
    basis_ha: f64,
}

/// Pieces of one cover: gentle, then steep, of each slope group.
const PIECES: usize = 2 * SlopeGroup::ALL.len();

/// Sums the demand of a zone's cells: each brings its own slope and cover, and with them density and
/// survival, so that merging never moves a plant. Cells of unknown ground count as level.
///
/// Cost: the cells under the zone, and for each line the covers and slope groups that it has.
#[must_use]
pub fn zone_demand(zone: &Zone, ground: &Ground, site: &Site, library: &Library) -> ZoneDemand {
    let cell_ha = ground.grid().cell_area() / M2_PER_HA;
    let mut pieces = vec![Piece::default(); PIECES * (usize::from(u8::MAX) + 1)];
    for cell in zone.cells.iter() {
        let at = cell.at as usize;
        let slope = f64::from(ground.slope_deg.cells()[at]);
        let group = SlopeGroup::of(slope, site.zones.slope_edges) as usize;
        let steep = usize::from(slope > site.survival.steep_from_deg);
        let cover = usize::from(cover_at(ground, site, at).0);
        let piece = &mut pieces[cover * PIECES + group * 2 + steep];
        let map_ha = f64::from(cell.share) * cell_ha;
        piece.map_ha += map_ha;
        piece.basis_ha += map_ha * basis_factor(ground, site.density.basis, at);
    }
    let known = pieces.iter().enumerate().filter(|(_, piece)| piece.map_ha > 0.0);
    let kinds: Vec<(Kind<'_>, Piece)> =
        known.map(|(place, piece)| (Kind::at(place, site), *piece)).collect();
    let map_ha: f64 = kinds.iter().map(|(_, piece)| piece.map_ha).sum();
    let open_ha: f64 = kinds.iter().map(|(kind, piece)| kind.gap_share() * piece.map_ha).sum();
    ZoneDemand {
        gap_share: if map_ha > 0.0 { open_ha / map_ha } else { 0.0 },
        lines: library.stocks().iter().map(|stock| line_demand(&kinds, stock, site)).collect(),
    }
}

fn line_demand(kinds: &[(Kind<'_>, Piece)], stock: &Stock, site: &Site) -> LineDemand {
    let (mut plants, mut order, mut open_basis_ha, mut person_days) = (0.0, 0.0, 0.0, 0.0);
    let mut by_purpose = Purpose::ALL.map(|purpose| (0.0, purpose));
    for (kind, piece) in kinds {
        let open = kind.gap_share() * piece.basis_ha;
        let (density, purpose) = site.density.on(kind.cover_name(), kind.letter(), &stock.id);
        plants += open * density.0;
        order += open * density.0 / kind.survival(stock, site);
        open_basis_ha += open;
        person_days += open * density.0 / site.labour.plants_a_day(kind.steep);
        by_purpose[purpose as usize].0 += open * density.0;
    }
    let usual = || site.density.on(None, "", &stock.id);
    let most = by_purpose.into_iter().rev().max_by(|a, b| a.0.total_cmp(&b.0));
    LineDemand {
        plants,
        order,
        person_days,
        density: if open_basis_ha > 0.0 {
            StemsPerHectare(plants / open_basis_ha)
        } else {
            usual().0
        },
        purpose: most.filter(|(plants, _)| *plants > 0.0).map_or(usual().1, |(_, purpose)| purpose),
    }
}

/// Ground of one cover and slope group, gentle or steep.
struct Kind<'a> {
    /// `None` where cover is not known.
    cover: Option<&'a CoverClass>,
    group: SlopeGroup,
    steep: bool,
}

impl<'a> Kind<'a> {
    /// The kind of a place among the pieces.
    fn at(place: usize, site: &'a Site) -> Self {
        let rest = place % PIECES;
        Self {
            cover: class_of((place / PIECES) as u8, site),
            group: SlopeGroup::ALL[rest / 2],
            steep: rest % 2 == 1,
        }
    }

    fn cover_name(&self) -> Option<&str> {
        self.cover.map(|class| class.name.as_str())
    }

    fn letter(&self) -> &'static str {
        self.group.letter()
    }

    fn gap_share(&self) -> f64 {
        open_share(self.cover)
    }

    fn survival(&self, stock: &Stock, site: &Site) -> f64 {
        expected_survival(self.cover, self.steep, stock, site)
    }
}

/// Expected survival of a line on a cover, steep or gentle. Where the cover shows a landform: the line's own
/// for it, else the cover's, else the usual of the landform. Elsewhere: the cover's, else the line's own
/// for mid-slopes where it is steep and for toes where it is gentle, else the site's.
pub(crate) fn expected_survival(
    cover: Option<&CoverClass>,
    is_steep: bool,
    stock: &Stock,
    site: &Site,
) -> f64 {
    let of_cover = cover.and_then(|class| class.survival);
    if let Some(landform) = cover.and_then(|class| class.landform) {
        let given = stock.survival.given(landform).or(of_cover);
        return given.unwrap_or_else(|| landform.usual_survival());
    }
    let (landform, usual) = if is_steep {
        (LandformClass::MidSlope, site.survival.steep)
    } else {
        (LandformClass::Toe, site.survival.gentle)
    };
    of_cover.or(stock.survival.given(landform)).unwrap_or(usual)
}

/// Hectares of the density's basis in one map hectare of a cell.
pub(super) fn basis_factor(ground: &Ground, basis: AreaBasis, at: usize) -> f64 {
    match basis {
        AreaBasis::Plan => 1.0,
        AreaBasis::Ground => Some(ground.area_factor(at)).filter(|f| f.is_finite()).unwrap_or(1.0),
    }
}

/// Share of a cell's ground that is open to planting: all of it where cover is cleared, the gaps
/// of patchy cover, nothing of cover that stays. By code of the cover layer.
pub(crate) struct GapShares([f64; u8::MAX as usize + 1]);

impl GapShares {
    /// Those of a site's covers.
    pub(crate) fn of(site: &Site) -> Self {
        let of_code = |code| open_share(class_of(cover_of(code, site).0, site));
        Self(std::array::from_fn(|code| of_code(code as u8)))
    }

    /// At a cell.
    pub(crate) fn at(&self, ground: &Ground, at: usize) -> f64 {
        let code = ground.cover.as_ref().map_or(0, |cover| cover.cells()[at]);
        self.0[usize::from(code)]
    }
}

fn open_share(cover: Option<&CoverClass>) -> f64 {
    match cover.map_or(Treatment::Plant, |class| class.treatment) {
        Treatment::Plant => 1.0,
        Treatment::Infill => cover.map_or(1.0, |class| class.gap_share),
        Treatment::Keep | Treatment::Never => 0.0,
    }
}

/// The cover class at a position of the site's table; `None` where cover is not known.
fn class_of(cover: u8, site: &Site) -> Option<&CoverClass> {
    let table = &site.layers.cover.as_ref()?.table;
    table.get(usize::from(cover)).map(|row| &row.class)
}

/// Plants a hectare for lines that each stand on a part of the ground: by the cover's position in the
/// site's table, the last for unknown cover, and by slope group.
pub(super) struct Densities(Vec<[f64; SlopeGroup::ALL.len()]>);

impl Densities {
    /// For lines by name, with their parts; parts sum to 1.
    pub(super) fn of(site: &Site, lines: &[(&str, f64)]) -> Self {
        let of_kind = |cover: Option<&str>, group: SlopeGroup| {
            let density = |line: &str| site.density.on(cover, group.letter(), line).0.0;
            lines.iter().map(|(line, part)| density(line) * part).sum()
        };
        let table = site.layers.cover.iter().flat_map(|source| &source.table);
        let covers = table.map(|row| Some(row.class.name.as_str())).chain([None]);
        Self(covers.map(|cover| SlopeGroup::ALL.map(|group| of_kind(cover, group))).collect())
    }

    /// At a cell.
    pub(super) fn at(&self, ground: &Ground, site: &Site, at: usize) -> StemsPerHectare {
        let slope = f64::from(ground.slope_deg.cells()[at]);
        let group = SlopeGroup::of(slope, site.zones.slope_edges) as usize;
        let cover = usize::from(cover_at(ground, site, at).0);
        StemsPerHectare(self.0[cover.min(self.0.len() - 1)][group])
    }
}

#[cfg(test)]
mod tests;
