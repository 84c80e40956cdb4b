//! Places where hives may stand: beside a track, on ground that a truck and people can use, sheltered, sunny and out
//! of cold hollows.

use geo::{BoundingRect, Contains, LineString, MultiPolygon, Point};
use terrain::Raster;

use super::Land;
use super::forage::Forage;
use super::rows::{ForageRow, HiveRow, HiveSearchRow};
use crate::ground::{GroundLayer, derivation_of};
use crate::layout::Tracks;
use crate::pipeline::{Property, on_globe};
use crate::problem::Problem;
use crate::site::Treatment;

/// Nearest that hives stand to the middle of a track, metres, so that vehicles pass: tracks of 4 to 5 m and a
/// little (common practice, no source).
const OFF_TRACK_M: f64 = 5.0;

/// What came of looking.
pub(super) struct Hives {
    pub(super) search: HiveSearchRow,
    pub(super) rows: Vec<HiveRow>,
}

/// Ground where hives may stand.
#[derive(Debug, Clone, Copy)]
struct Place {
    /// Row and column.
    cell: (usize, usize),
    at: [f64; 2],
    elevation_m: f64,
    slope_deg: f64,
    to_track_m: f64,
    shelter_deg: f64,
    sun_ratio: Option<f64>,
    frost_index: Option<f64>,
    /// Whether frost is likely, though not severe.
    is_frosty: bool,
}

/// Looks along every track on the property: of the cells within reach of each step that may hold hives the most
/// sheltered is taken, then the places are ranked and thinned.
///
/// # Errors
/// When a layer of the ground cannot be made, or a place has no longitude.
pub(super) fn hives(land: &Land, forage: &Forage) -> Result<Hives, Problem> {
    let search = HiveSearchRow::default();
    let Property { site, ready, .. } = &**land;
    if ready.tracks.is_empty() || site.season.hive_sites == 0 {
        return Ok(Hives { search, rows: Vec::new() });
    }
    let mut derivation = derivation_of(ready, site);
    let shelter = derivation.take(GroundLayer::Exposure)?;
    let sun = derivation.take(GroundLayer::SunRatio)?;
    let frost = derivation.take(GroundLayer::FrostIndex)?;
    let looked = Looked::new(land, &shelter, &sun, &frost);
    let (places, search) = looked.along_tracks();
    let scored = scored(places, forage);
    let mut chosen: Vec<Scored> = Vec::new();
    for one in scored {
        let is_apart = chosen.iter().all(|other| {
            let [a, b] = [one.place.at, other.place.at];
            (a[0] - b[0]).hypot(a[1] - b[1]) >= site.season.hive_apart.0
        });
        if is_apart && chosen.len() < site.season.hive_sites {
            chosen.push(one);
        }
    }
    let mut globe: Vec<(f64, f64)> =
        chosen.iter().map(|one| (one.place.at[0], one.place.at[1])).collect();
    if !globe.is_empty() {
        on_globe(&ready.crs, &mut globe, "hive_sites.csv")?;
    }
    let rows = chosen.iter().enumerate().zip(globe);
    let rows = rows.map(|((at, one), lon_lat)| one.row(at, lon_lat)).collect();
    Ok(Hives { search, rows })
}

/// The ground that is looked at.
struct Looked<'a> {
    land: &'a Land,
    shelter: &'a Raster<f32>,
    sun: &'a Raster<f32>,
    frost: &'a Raster<f32>,
    tracks: Tracks,
}

/// Why a cell holds no hives.
enum Unfit {
    OutOfReach,
    TooSteep,
    KeptClear,
    UnderCover,
    NearStream,
    InHollow,
}

impl<'a> Looked<'a> {
    fn new(
        land: &'a Land,
        shelter: &'a Raster<f32>,
        sun: &'a Raster<f32>,
        frost: &'a Raster<f32>,
    ) -> Self {
        Self { land, shelter, sun, frost, tracks: Tracks::new(&land.ready.tracks) }
    }

    /// The best place beside each step of each track, and what was left out.
    fn along_tracks(&self) -> (Vec<Place>, HiveSearchRow) {
        let mut search = HiveSearchRow::default();
        let mut places: Vec<Place> = Vec::new();
        let mut seen = vec![false; self.land.ground.grid().len()];
        for step in self.steps() {
            search.places += 1;
            let mut best: Option<Place> = None;
            for (row, col) in self.cells_near(step) {
                let is_new =
                    !std::mem::replace(&mut seen[self.land.ground.grid().index(row, col)], true);
                let count = usize::from(is_new);
                match self.place(row, col) {
                    Ok(place) => {
                        search.cells += count;
                        if best.is_none_or(|other| place.shelter_deg > other.shelter_deg) {
                            best = Some(place);
                        }
                    }
                    Err(Unfit::OutOfReach) => {}
                    Err(unfit) => {
                        search.cells += count;
                        let counted = match unfit {
                            Unfit::TooSteep => &mut search.too_steep,
                            Unfit::KeptClear => &mut search.kept_clear,
                            Unfit::UnderCover => &mut search.under_cover,
                            Unfit::NearStream => &mut search.near_streams,
                            Unfit::InHollow | Unfit::OutOfReach => &mut search.in_hollows,
                        };
                        *counted += count;
                    }
                }
            }
            search.found += usize::from(best.is_some());
            places.extend(best.filter(|best| !places.iter().any(|other| other.cell == best.cell)));
        }
        (places, search)
    }

    /// Places along the tracks, on the property.
    fn steps(&self) -> Vec<[f64; 2]> {
        let step = self.land.site.season.hive_step.0;
        let along = |track: &LineString<f64>| {
            let mut steps = Vec::new();
            let mut ahead = 0.0; // from the beginning of the segment to the next step
            for segment in track.lines() {
                let long = segment.dx().hypot(segment.dy());
                while ahead <= long && long > 0.0 {
                    let share = ahead / long;
                    steps.push([
                        segment.start.x + share * segment.dx(),
                        segment.start.y + share * segment.dy(),
                    ]);
                    ahead += step;
                }
                ahead -= long;
            }
            steps
        };
        let all = self.land.ready.tracks.iter().flat_map(along);
        all.filter(|at| is_in(&self.land.ready.boundary, *at)).collect()
    }

    /// Cells whose middles lie within reach of a place.
    fn cells_near(&self, [x, y]: [f64; 2]) -> Vec<(usize, usize)> {
        let grid = self.land.ground.grid();
        let reach = self.land.site.season.hive_within.0;
        let Some((row, col)) = grid.cell_at(x, y) else { return Vec::new() };
        let span = |side: f64| (reach / side).ceil() as usize;
        let rows = row.saturating_sub(span(grid.cell_height()))
            ..=(row + span(grid.cell_height())).min(grid.rows() - 1);
        let cols = col.saturating_sub(span(grid.cell_width()))
            ..=(col + span(grid.cell_width())).min(grid.cols() - 1);
        let cells = rows.flat_map(|row| cols.clone().map(move |col| (row, col)));
        let is_near = |(row, col): &(usize, usize)| {
            let (east, north) = grid.centre(*row, *col);
            (east - x).hypot(north - y) <= reach
        };
        cells.filter(is_near).collect()
    }

    /// A cell as a place for hives.
    fn place(&self, row: usize, col: usize) -> Result<Place, Unfit> {
        let Property { site, ready, ground, .. } = &**self.land;
        let rules = &site.season;
        let (x, y) = ground.grid().centre(row, col);
        let to_track_m = self
            .tracks
            .from_place_m(Point::new(x, y))
            .filter(|far| (OFF_TRACK_M..=rules.hive_within.0).contains(far));
        let Some(to_track_m) = to_track_m.filter(|_| is_in(&ready.boundary, [x, y])) else {
            return Err(Unfit::OutOfReach);
        };
        let known = |raster: &Raster<f32>| {
            raster.get(row, col).map(f64::from).filter(|value| value.is_finite())
        };
        let slope = known(&ground.slope_deg).filter(|slope| *slope <= rules.hive_slope_deg);
        let height = known(&ground.elevation_m).zip(known(self.shelter));
        let Some((slope_deg, (elevation_m, shelter_deg))) = slope.zip(height) else {
            return Err(Unfit::TooSteep);
        };
        let clear = |area: &crate::read::KeepClearArea| {
            let ask = area.ask.as_ref().is_some_and(|ask| is_in(ask, [x, y]));
            ask || is_in(&area.geometry, [x, y])
        };
        if ready.keep_clear.iter().any(clear) {
            return Err(Unfit::KeptClear);
        }
        let table = site.layers.cover.as_ref().map_or(&[][..], |source| &source.table[..]);
        let cover = ground.cover.as_ref().map(|cover| cover.at(row, col)).filter(|code| *code > 0);
        let treatment =
            cover.and_then(|code| table.get(usize::from(code) - 1)).map(|row| row.class.treatment);
        if matches!(treatment, Some(Treatment::Keep | Treatment::Never)) {
            return Err(Unfit::UnderCover);
        }
        if self.is_near_stream(row, col) {
            return Err(Unfit::NearStream);
        }
        let frost_index = known(self.frost);
        if frost_index.is_some_and(|frost| frost >= site.zones.frost_edges[1]) {
            return Err(Unfit::InHollow);
        }
        Ok(Place {
            cell: (row, col),
            at: [x, y],
            elevation_m,
            slope_deg,
            to_track_m,
            shelter_deg,
            sun_ratio: known(self.sun),
            frost_index,
            is_frosty: frost_index.is_some_and(|frost| frost >= site.zones.frost_edges[0]),
        })
    }

    /// Whether a cell that a stream touches lies nearer than hives may stand.
    fn is_near_stream(&self, row: usize, col: usize) -> bool {
        let Some(streams) = &self.land.ready.streams else { return false };
        let (grid, clear) = (streams.grid(), self.land.site.season.hive_clear_of_streams.0);
        let (x, y) = grid.centre(row, col);
        let span = |side: f64| (clear / side).ceil() as usize;
        let rows = row.saturating_sub(span(grid.cell_height()))
            ..=(row + span(grid.cell_height())).min(grid.rows() - 1);
        let cols = col.saturating_sub(span(grid.cell_width()))
            ..=(col + span(grid.cell_width())).min(grid.cols() - 1);
        rows.into_iter().any(|near_row| {
            cols.clone().any(|near_col| {
                let (east, north) = grid.centre(near_row, near_col);
                streams.at(near_row, near_col) && (east - x).hypot(north - y) < clear
            })
        })
    }
}

fn is_in(area: &MultiPolygon<f64>, [x, y]: [f64; 2]) -> bool {
    let inside = area.bounding_rect().is_some_and(|around| {
        let (low, high) = (around.min(), around.max());
        (low.x..=high.x).contains(&x) && (low.y..=high.y).contains(&y)
    });
    inside && area.contains(&Point::new(x, y))
}

/// A place with what it is worth.
#[derive(Debug, Clone, Copy)]
struct Scored {
    place: Place,
    forage: [ForageRow; 2],
    /// Share of the places found that are no more sheltered.
    sheltered_share: f64,
    score: f64,
}

/// Places with their scores, the best first; of equals the northern, then the western one.
fn scored(places: Vec<Place>, forage: &Forage) -> Vec<Scored> {
    let found: Vec<(Place, [ForageRow; 2])> =
        places.into_iter().map(|place| (place, forage.around(place.at))).collect();
    let measures: Vec<[Option<f64>; 3]> = found
        .iter()
        .map(|(place, [near, _])| {
            [Some(place.shelter_deg), place.sun_ratio, Some(near.planted_ha + near.stands_ha)]
        })
        .collect();
    let scaled = |which: usize, at: usize| {
        let known = || measures.iter().filter_map(|all| all[which]);
        let low = known().fold(f64::INFINITY, f64::min);
        let high = known().fold(f64::NEG_INFINITY, f64::max);
        // What is not known counts as the middle, and so does what is the same everywhere.
        measures[at][which].filter(|_| high > low).map_or(0.5, |value| (value - low) / (high - low))
    };
    let mut all: Vec<Scored> = found
        .iter()
        .enumerate()
        .map(|(at, (place, forage))| {
            let below = found.iter().filter(|(other, _)| other.shelter_deg <= place.shelter_deg);
            Scored {
                place: *place,
                forage: *forage,
                sheltered_share: below.count() as f64 / found.len() as f64,
                score: (0..3).map(|which| scaled(which, at)).sum::<f64>() / 3.0,
            }
        })
        .collect();
    all.sort_by(|a, b| {
        let by_place = b.place.at[1].total_cmp(&a.place.at[1]);
        b.score.total_cmp(&a.score).then(by_place).then(a.place.at[0].total_cmp(&b.place.at[0]))
    });
    all
}

impl Scored {
    fn row(&self, at: usize, (longitude, latitude): (f64, f64)) -> HiveRow {
        let rounded = |number: f64, steps: f64| (number * steps).round() / steps;
        let Place {
            elevation_m, slope_deg, to_track_m, shelter_deg, sun_ratio, frost_index, ..
        } = self.place;
        let [near, far] = self.forage;
        let frost = if self.place.is_frosty { "; frost is likely" } else { "" };
        let sun = sun_ratio
            .map_or_else(String::new, |sun| format!("; sun {sun:.2} of level open ground"));
        let reason = format!(
            "slope {slope_deg:.0}°, {to_track_m:.0} m from the middle of a track; horizons add up to \
             {shelter_deg:.0}°, as sheltered as or more than {:.0} % of the places found{sun}{frost}; {:.0} ha of forage on \
             the property within {} km",
            self.sheltered_share * 100.0,
            near.planted_ha + near.stands_ha,
            near.radius_km,
        );
        HiveRow {
            site_id: format!("H{:02}", at + 1),
            easting_m: self.place.at[0],
            northing_m: self.place.at[1],
            longitude_deg: rounded(longitude, 1e7),
            latitude_deg: rounded(latitude, 1e7),
            elevation_m: rounded(elevation_m, 10.0),
            slope_deg: rounded(slope_deg, 10.0),
            to_track_m: rounded(to_track_m, 10.0),
            shelter_deg: rounded(shelter_deg, 10.0),
            sun_ratio: sun_ratio.map(|sun| rounded(sun, 1000.0)),
            frost_index: frost_index.map(|frost| rounded(frost, 1000.0)),
            near,
            far,
            score: rounded(self.score, 1000.0),
            reason,
        }
    }
}
