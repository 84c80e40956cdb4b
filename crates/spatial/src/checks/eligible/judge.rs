//! What is found on a piece of planted ground.

use std::collections::BTreeMap;

use cover::{Growth, Pattern, Planting, shared_cover};
use geo::{MultiPolygon, Polygon};
use stock::{LandformClass, Library};
use terrain::Raster;

use super::compare::Found;
use super::pieces::{Piece, join};
use super::rule::{Quantity, Test};
use crate::checks::cover::planted::{Block, Planted};
use crate::layout::expected_survival;
use crate::problem::Problem;
use crate::site::{CoverClass, Site, Treatment};
use crate::units::M2_PER_HA;
use crate::zones::{CellShares, Zones, cell_shares};

/// A site with its zones and what is planted on them.
pub(super) struct Ground<'a> {
    pub(super) site: &'a Site,
    pub(super) library: &'a Library,
    pub(super) zones: &'a Zones,
    pub(super) planted: &'a Planted,
    /// Slope, degrees.
    pub(super) slope_deg: &'a Raster<f32>,
    /// Position in the cover table plus 1; 0: not known.
    pub(super) cover: Option<&'a Raster<u8>>,
    /// How plants stand.
    pub(super) pattern: Pattern,
}

/// One polygon of a planted zone.
pub(super) struct Part<'a> {
    pub(super) zone: usize,
    outline: &'a Polygon<f64>,
    plan_m2: f64,
    cells: CellShares,
}

/// Share of a zone that may be left and still counts as rounding.
const ROUNDING: f64 = 1e-4;

/// Metres along the side of a hectare.
const HECTARE_SIDE_M: f64 = 100.0;

/// Share of a hectare that must lie in the piece for it to be judged as one.
const LEAST_OF_A_HECTARE: f64 = 0.5;

/// Cells that are planted alike: cover class, and whether fewer live for its steepness.
type Kind = (u8, bool);

impl<'a> Ground<'a> {
    /// The polygons of every zone in which something is planted.
    pub(super) fn parts(&self) -> Vec<Part<'a>> {
        let zones: &'a Zones = self.zones;
        let planted = |zone: &usize| self.planted.blocks[*zone].iter().any(|one| one.plants > 0);
        let of_zone = |zone: usize| {
            zones.zones[zone].geometry.iter().map(move |outline| {
                let alone = MultiPolygon::new(vec![outline.clone()]);
                let cells = cell_shares(&alone, self.slope_deg.grid());
                Part { zone, outline, plan_m2: geo::Area::unsigned_area(outline), cells }
            })
        };
        (0..zones.zones.len()).filter(planted).flat_map(of_zone).collect()
    }

    /// The pieces that the parts make.
    ///
    /// # Errors
    /// When a part is in none, which is a fault of the program.
    pub(super) fn pieces(parts: &[Part<'_>]) -> Result<Vec<Piece>, Problem> {
        let outlines: Vec<&Polygon<f64>> = parts.iter().map(|part| part.outline).collect();
        let pieces = join(&outlines);
        let held: usize = pieces.iter().map(|piece| piece.parts.len()).sum();
        if held == parts.len() {
            return Ok(pieces);
        }
        Err(Problem::error("pieces")
            .found(format!("{} of {} parts of zones in joined ground", held, parts.len()))
            .expected("every part in one piece")
            .remedy("this is a fault of the program: please report it with the site folder"))
    }

    /// What is known of a piece, to hold tests against.
    pub(super) fn standing<'b>(
        &'b self,
        piece: &'b Piece,
        parts: &'b [Part<'a>],
        open_m2: &'b [f64],
    ) -> Standing<'b> {
        let mine: Vec<&Part<'a>> = piece.parts.iter().map(|at| &parts[*at]).collect();
        let planted_m2 = mine.iter().map(|part| part.plan_m2 * self.share_of(part.zone)).sum();
        let is_whole = mine.iter().all(|part| self.is_whole(part.zone));
        let ground: &Ground<'_> = self;
        let lines = ground.lines(&mine);
        let living = ground.living(&mine, open_m2);
        Standing { ground, piece, parts: mine, planted_m2, is_whole, open_m2, lines, living }
    }

    /// Share of a zone that is planted.
    fn share_of(&self, zone: usize) -> f64 {
        self.planted.blocks[zone].iter().map(|block| block.share).sum::<f64>().min(1.0)
    }

    fn is_whole(&self, zone: usize) -> bool {
        self.share_of(zone) >= 1.0 - ROUNDING
    }

    fn class(&self, code: u8) -> Option<&CoverClass> {
        let table = &self.site.layers.cover.as_ref()?.table;
        Some(&table.get(usize::from(code.checked_sub(1)?))?.class)
    }

    /// Share of the ground that is open to planting.
    fn gaps(&self, code: u8) -> f64 {
        match self.class(code).map_or((Treatment::Plant, 1.0), |one| (one.treatment, one.gap_share))
        {
            (Treatment::Plant, _) => 1.0,
            (Treatment::Infill, gaps) => gaps,
            (Treatment::Keep | Treatment::Never, _) => 0.0,
        }
    }

    fn kind(&self, at: u32) -> Kind {
        let at = at as usize;
        let code = self.cover.map_or(0, |cover| cover.cells()[at]);
        let slope = f64::from(self.slope_deg.cells()[at]);
        (code, slope > self.site.survival.steep_from_deg)
    }

    /// Square metres open to planting, by zone.
    pub(super) fn open_m2(&self, parts: &[Part<'_>]) -> Vec<f64> {
        let mut open_m2 = vec![0.0; self.zones.zones.len()];
        for part in parts {
            open_m2[part.zone] += self
                .kinds_m2(part)
                .iter()
                .fold(0.0, |sum, (kind, m2)| sum + m2 * self.gaps(kind.0));
        }
        open_m2
    }

    /// Square metres of each kind in a part.
    fn kinds_m2(&self, part: &Part<'_>) -> BTreeMap<Kind, f64> {
        let cell_m2 = self.slope_deg.grid().cell_area();
        let mut kinds = BTreeMap::new();
        for cell in part.cells.iter() {
            *kinds.entry(self.kind(cell.at)).or_default() += f64::from(cell.share) * cell_m2;
        }
        kinds
    }

    /// Square metres planted of each line.
    fn lines(&self, parts: &[&Part<'_>]) -> BTreeMap<usize, f64> {
        let mut lines = BTreeMap::new();
        for part in parts {
            for block in &self.planted.blocks[part.zone] {
                *lines.entry(block.line).or_default() += block.share * part.plan_m2;
            }
        }
        lines
    }

    /// Living stems.
    fn living(&self, parts: &[&Part<'_>], open_m2: &[f64]) -> f64 {
        let of_part = |part: &&Part<'_>| {
            let of_kind = |(kind, m2): (Kind, f64)| {
                let stems = self.plantings(part.zone, kind, open_m2, None);
                let per_ha: f64 = stems.iter().map(|one| one.planted_per_ha * one.alive).sum();
                per_ha * m2 * self.gaps(kind.0) / M2_PER_HA
            };
            self.kinds_m2(part).into_iter().map(of_kind).sum::<f64>()
        };
        parts.iter().map(of_part).sum()
    }

    /// What stands on a map hectare of open ground of a kind, all planted in year 0; of lines that reach a
    /// height alone, those of unknown height not among them.
    fn plantings(
        &self,
        zone: usize,
        (code, is_steep): Kind,
        open_m2: &[f64],
        reaching: Option<(f64, bool)>,
    ) -> Vec<Planting> {
        let stocks = self.library.stocks();
        let counts = |block: &&Block| match (reaching, stocks[block.line].mature_height_m) {
            (None, _) => true,
            (Some((_, with_unknown)), None) => with_unknown,
            (Some((height_m, _)), Some(reached)) => reached >= height_m,
        };
        let planting = |block: &Block| Planting {
            year: 0.0,
            planted_per_ha: block.plants as f64 / open_m2[zone] * M2_PER_HA,
            alive: expected_survival(self.class(code), is_steep, &stocks[block.line], self.site),
        };
        if open_m2[zone] <= 0.0 {
            return Vec::new();
        }
        self.planted.blocks[zone].iter().filter(counts).map(planting).collect()
    }

    /// Share of the ground of a kind under crowns.
    fn crowns(
        &self,
        zone: usize,
        kind: Kind,
        open_m2: &[f64],
        (years, reaching): (f64, Option<(f64, bool)>),
    ) -> f64 {
        let is_scar =
            self.class(kind.0).is_some_and(|one| one.landform == Some(LandformClass::SlipScar));
        let rules = &self.site.cover;
        let growth = Growth {
            radius_m: rules.crown_radius_m.clone(),
            share: if is_scar { rules.scar_growth } else { 1.0 },
        };
        let plantings = self.plantings(zone, kind, open_m2, reaching);
        self.gaps(kind.0) * shared_cover(&plantings, &growth, self.pattern, years)
    }
}

/// What is known of a piece.
pub(super) struct Standing<'a> {
    ground: &'a Ground<'a>,
    piece: &'a Piece,
    pub(super) parts: Vec<&'a Part<'a>>,
    /// Square metres of map that are planted.
    pub(super) planted_m2: f64,
    /// Whether its zones are planted all over.
    pub(super) is_whole: bool,
    /// Square metres open to planting, by zone.
    open_m2: &'a [f64],
    /// Square metres planted of each line.
    pub(super) lines: BTreeMap<usize, f64>,
    /// Stems expected to live.
    pub(super) living: f64,
}

impl Standing<'_> {
    /// What a test finds, and what goes with it in words; empty where nothing does.
    pub(super) fn found(&self, test: &Test) -> (Found, String) {
        match test.measure {
            Quantity::AreaHa => self.area(),
            Quantity::MeanWidthM => self.width(),
            Quantity::MatureHeightM => self.height(test),
            Quantity::CrownShare => self.crowns(test),
            Quantity::LiveSph => (Found::known(self.live_sph()), String::new()),
        }
    }

    /// Living stems on a planted hectare of map.
    pub(super) fn live_sph(&self) -> f64 {
        self.living / self.planted_m2 * M2_PER_HA
    }

    fn area(&self) -> (Found, String) {
        let most = self.planted_m2 / M2_PER_HA;
        if self.is_whole {
            return (Found::known(self.piece.plan_m2 / M2_PER_HA), String::new());
        }
        // What is left of a zone may part the rest: what is planted all over hangs together for sure.
        let whole = self.parts.iter().filter(|part| self.ground.is_whole(part.zone));
        let whole: Vec<&Polygon<f64>> = whole.map(|part| part.outline).collect();
        let least = join(&whole).first().map_or(0.0, |piece| piece.plan_m2 / M2_PER_HA);
        (Found { least: least.min(most), most }, LEFT.to_owned())
    }

    fn width(&self) -> (Found, String) {
        if self.is_whole {
            (Found::known(self.piece.mean_width_m), String::new())
        } else {
            (Found::unknown(), LEFT.to_owned())
        }
    }

    /// The height that as much of the ground reaches as is asked.
    fn height(&self, test: &Test) -> (Found, String) {
        let stocks = self.ground.library.stocks();
        let share = test.ground_share.unwrap_or(1.0);
        let heights = |unknown: f64| -> Vec<(f64, f64)> {
            let height = |line: usize| stocks[line].mature_height_m.unwrap_or(unknown);
            self.lines.iter().map(|(line, m2)| (height(*line), *m2)).collect()
        };
        let found = Found {
            least: reached_by(&heights(0.0), share),
            most: reached_by(&heights(f64::INFINITY), share),
        };
        let all: f64 = self.lines.values().sum();
        let part = |is: &dyn Fn(Option<f64>) -> bool| {
            let m2: f64 = self
                .lines
                .iter()
                .filter(|(line, _)| is(stocks[**line].mature_height_m))
                .map(|(_, m2)| m2)
                .sum();
            m2 / all * 100.0
        };
        let reaches = part(&|height| height.is_some_and(|height| height >= test.value));
        let unknown = part(&|height| height.is_none());
        let mut words =
            format!("{reaches:.0} % of the planted ground has lines that reach {} m", test.value);
        if unknown > 0.0 {
            words += &share_unknown(unknown);
        }
        (found, words)
    }

    /// Crowns in the barest hectare.
    fn crowns(&self, test: &Test) -> (Found, String) {
        let years = test.years.unwrap_or_default();
        let reaching = |with_unknown: bool| test.reaching_m.map(|height| (height, with_unknown));
        let (least, mean) = self.barest((years, reaching(false)));
        let (most, most_mean) = match test.reaching_m {
            Some(_) => self.barest((years, reaching(true))),
            None => (least, mean),
        };
        let mean = if (mean * 1e3).round() < (most_mean * 1e3).round() {
            format!("{:.1} to {:.1} %", mean * 100.0, most_mean * 100.0)
        } else {
            format!("{:.1} %", mean * 100.0)
        };
        let words = format!("{mean} over the whole piece");
        if self.is_whole {
            (Found { least, most }, words)
        } else {
            // Plants stand closer on less ground.
            let planted = self.planted_m2 / self.piece.plan_m2;
            (Found { least: 0.0, most: (most / planted).min(1.0) }, format!("{words}; {LEFT}"))
        }
    }

    /// Share under crowns in the barest hectare, a square of the grid of the map of which half or more lies
    /// in the piece; of the whole piece where there is no such square. And that of the whole.
    fn barest(&self, asked: (f64, Option<(f64, bool)>)) -> (f64, f64) {
        let grid = self.ground.slope_deg.grid();
        let mut squares: BTreeMap<(i64, i64), (f64, f64)> = BTreeMap::new();
        let mut whole = (0.0, 0.0);
        let mut known: BTreeMap<(usize, Kind), f64> = BTreeMap::new();
        for part in &self.parts {
            for cell in part.cells.iter() {
                let kind = self.ground.kind(cell.at);
                let share = *known
                    .entry((part.zone, kind))
                    .or_insert_with(|| self.ground.crowns(part.zone, kind, self.open_m2, asked));
                let at = cell.at as usize;
                let (x, y) = grid.centre(at / grid.cols(), at % grid.cols());
                let square = |place: f64| (place / HECTARE_SIDE_M).floor() as i64;
                let m2 = f64::from(cell.share) * grid.cell_area();
                let sums = squares.entry((square(x), square(y))).or_default();
                for sums in [sums, &mut whole] {
                    sums.0 += m2;
                    sums.1 += m2 * share;
                }
            }
        }
        let mean = if whole.0 > 0.0 { whole.1 / whole.0 } else { 0.0 };
        let is_one = |(m2, _): &&(f64, f64)| *m2 >= LEAST_OF_A_HECTARE * M2_PER_HA;
        let shares = squares.values().filter(is_one).map(|(m2, crowns)| crowns / m2);
        let least = shares.fold(f64::INFINITY, f64::min);
        (if least.is_finite() { least } else { mean }, mean)
    }
}

fn share_unknown(percent: f64) -> String {
    format!(", of {percent:.0} % the stock file does not tell the height")
}

const LEFT: &str = "zones planted in part: where they leave ground is not drawn";

/// The greatest height that a share of the ground reaches, of heights with their areas.
pub(super) fn reached_by(heights: &[(f64, f64)], share: f64) -> f64 {
    let mut heights = heights.to_vec();
    heights.sort_by(|one, other| other.0.total_cmp(&one.0));
    let all: f64 = heights.iter().map(|(_, m2)| m2).sum();
    let mut sum = 0.0;
    for (height, m2) in &heights {
        sum += m2;
        // A hair for the rounding of sums.
        if sum >= share * all * (1.0 - 1e-9) {
            return *height;
        }
    }
    0.0
}

#[cfg(test)]
mod tests;
