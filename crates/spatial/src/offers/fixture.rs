//! A small invented property for the tests of this room: square zones at chosen heights.

use std::collections::BTreeMap;
use std::path::Path;

use geo::{MultiPolygon, Rect};
use stock::{FitOrder, Library};
use terrain::Grid;

use crate::fit::ZoneFit;
use crate::layout::{LineDemand, ZoneDemand};
use crate::mosaic::Programme;
use crate::offers::{Seasons, Sourcing, Terms, programme};
use crate::overrides::Overrides;
use crate::plan::MergeReport;
use crate::read::{Crs, SeedZones};
use crate::site::{CodeRow, CoverClass, Purpose, Site, Treatment, parse};
use crate::units::StemsPerHectare;
use crate::zones::{CellShares, GroundStatistics, Shape, Zone, Zones};

/// A corner of the property, EPSG:2193.
pub(crate) const CORNER: [f64; 2] = [2_061_000.0, 5_561_000.0];

const LEAST: &str = "[site]\nname = \"Test\"\n[layers.boundary]\nfile = \"p.gpkg\"\n\
    [layers.elevation]\nfile = \"e.tif\"\n[stock]\nfile = \"stock.toml\"\n";

/// A site with further sections.
pub(crate) fn site(sections: &str) -> Site {
    match parse(&format!("{LEAST}{sections}"), Path::new("farm/site.toml")) {
        Ok((site, _)) => site,
        Err(problems) => panic!("{problems:?}"),
    }
}

/// A rule of ground kept clear 10 m from some lines, as a section of a site; `further` holds more of its keys.
pub(crate) fn keep_clear(name: &str, reason: &str, further: &str) -> String {
    format!(
        "[[keep_clear]]\nname = \"{name}\"\nfile = \"{name}.gpkg\"\ndistance_m = 10\nreason = \"{reason}\"\n\
         authority = \"who decides\"\ndate = \"2026\"\n{further}\n"
    )
}

/// A row of the table of cover, of which nothing more is said.
pub(crate) fn cover_row(code: &str, treatment: Treatment, gap_share: f64) -> CodeRow<CoverClass> {
    let name = format!("cover {code}");
    let (survival, landform, protects) = (None, None, None);
    let class = CoverClass { name, treatment, gap_share, survival, landform, protects };
    CodeRow { code: code.to_owned(), class }
}

/// A library of TOML text.
pub(crate) fn library(text: &str) -> Library {
    Library::parse(text).unwrap_or_else(|faults| panic!("{faults:?}"))
}

/// Squares of 200 m (4 ha), 1 km apart to the east, at heights in metres.
pub(crate) fn zones(heights_m: &[f64]) -> Zones {
    let zone = |(at, height_m): (usize, &f64)| {
        let (x, y) = (CORNER[0] + 1_000.0 * at as f64, CORNER[1]);
        let square = Rect::new((x, y), (x + 200.0, y + 200.0)).to_polygon();
        let geometry = MultiPolygon::new(vec![square]);
        let elevation_m = [height_m - 10.0, *height_m, height_m + 10.0];
        Zone {
            id: format!("Z{:03}", at + 1),
            shape: Shape::of(&geometry),
            geometry,
            plan_m2: 40_000.0,
            cells: CellShares::default(),
            statistics: GroundStatistics { elevation_m, ..GroundStatistics::default() },
            made_of: BTreeMap::new(),
            drift_m2: 0.0,
            is_drawn: false,
            neighbours: BTreeMap::new(),
        }
    };
    Zones {
        zones: heights_m.iter().enumerate().map(zone).collect(),
        stands: Vec::new(),
        keep_clear: Vec::new(),
        merging: MergeReport::default(),
        notes: Vec::new(),
    }
}

/// Cells of 20 m over the first so many [`zones`]: 10 rows, of each zone 10 columns, from one to the next 50.
pub(crate) fn grid(zones: usize) -> Grid {
    let [west, south] = CORNER;
    Grid::new(50 * zones - 40, 10, west, south + 200.0, 20.0, 20.0).expect("a sound grid")
}

/// Every zone fits every line alike.
pub(crate) fn fits(zones: &Zones, by_line: &[f64]) -> Vec<Vec<ZoneFit>> {
    let fit = |fit: &f64| ZoneFit {
        fit: *fit,
        order: FitOrder::S1,
        order_shares: [1.0, 0.0, 0.0, 0.0],
        share_below: 0.0,
        limits: Vec::new(),
        not_known: None,
    };
    zones.zones.iter().map(|_| by_line.iter().map(fit).collect()).collect()
}

/// 1,000 plants a hectare on all but a quarter of 4 ha, four of five of which live.
pub(crate) const DEMAND: LineDemand = LineDemand {
    plants: 3_000.0,
    order: 3_750.0,
    density: StemsPerHectare(1_000.0),
    person_days: 12.0,
    purpose: Purpose::Honey,
};

/// Part of a zone that is open.
pub(crate) const GAP_SHARE: f64 = 0.75;

/// Zones that ask alike for every line.
pub(crate) fn demands(zones: usize, lines: usize) -> Vec<ZoneDemand> {
    vec![ZoneDemand { gap_share: GAP_SHARE, lines: vec![DEMAND; lines] }; zones]
}

/// A zone, all of it open, that asks for so many plants and for so many to order, 250 a person-day.
pub(crate) fn demand_of(lines: usize, plants: f64, order: f64) -> ZoneDemand {
    let line = LineDemand { plants, order, person_days: plants / 250.0, ..DEMAND };
    ZoneDemand { gap_share: 1.0, lines: vec![line; lines] }
}

/// The programme of all of this.
pub(crate) fn programmed(
    site: &Site,
    library: &Library,
    zones: &Zones,
    by_line: &[f64],
    overrides: &Overrides,
) -> Programme {
    let crs = Crs::from_user("EPSG:2193").expect("a published system");
    let (sourcing, _) = Sourcing::new(site, library, zones, &SeedZones::default(), &crs);
    programme(&Terms {
        zones,
        fits: &fits(zones, by_line),
        demands: &demands(zones.zones.len(), library.stocks().len()),
        site,
        library,
        seasons: Seasons::of(site, library),
        sourcing: &sourcing,
        overrides,
    })
}
