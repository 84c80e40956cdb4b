//! Tracks, a power line and a recorded site: things that people put on the land.

use geo::{Coord, LineString, Point};

use crate::ground::{Ground, for_cells_within};
use crate::landform::Landform;
use crate::paths::cheapest_way;

/// A formed track. Positions as in the elevation field.
pub(crate) struct Track {
    pub(crate) name: &'static str,
    pub(crate) width_m: f64,
    pub(crate) line: LineString,
}

/// Side of the cells on which tracks are laid.
const TRACK_CELL_M: f64 = 12.0;

/// A track along the valley and one up a spur to the tops.
pub(crate) fn lay_tracks(ground: &Ground, landform: &Landform) -> Vec<Track> {
    let at = |x: f64, y: f64| ground.elevation.middle() + Coord { x, y };
    let elevation = ground.elevation.blurred(8.0).resampled(TRACK_CELL_M);
    let prominence = landform.prominence_m.resampled(TRACK_CELL_M);
    let under_water =
        |(area, pond): (&f64, &f64)| f64::from(u8::from(*area > 25_000.0 || *pond > 0.5));
    let cells = ground.area.values.iter().zip(&ground.pond.values).map(under_water).collect();
    let stream = ground.elevation.with_values(cells);
    let wet = stream.blurred(6.0).resampled(TRACK_CELL_M);
    let track = |name, width_m, crest: f64, from, to| {
        let line = cheapest_way(&elevation, from, to, |i, j, distance| {
            let grade = (elevation.values[i] - elevation.values[j]).abs() / distance;
            let along_crest = (-crest * prominence.values[j]).exp();
            along_crest + (grade / 0.25).powi(2) + 60.0 * wet.values[j].max(0.0)
        });
        Track { name, width_m, line }
    };
    vec![
        track("valley track", 4.0, 0.0, at(-1080.0, 215.0), at(460.0, 750.0)),
        track("spur track", 3.5, 0.16, at(-255.0, 112.0), at(-352.0, -822.0)),
    ]
}

/// A distribution line from pole to pole across the south-west: metres from the middle.
const POLES: [(f64, f64); 7] = [
    (-1130.0, 355.0),
    (-886.0, 504.0),
    (-679.0, 648.0),
    (-460.0, 773.0),
    (-258.0, 901.0),
    (-90.0, 1016.0),
    (55.0, 1122.0),
];

/// The power line over the poles.
pub(crate) fn string_power_line(ground: &Ground) -> LineString {
    let middle = ground.elevation.middle();
    POLES.iter().map(|&(x, y)| middle + Coord { x, y }).collect()
}

/// A recorded pit: on the crest of a spur above the valley.
pub(crate) fn record_site(landform: &Landform) -> Point {
    let crest = &landform.prominence_m;
    let mut best = (f64::NEG_INFINITY, 0);
    let Coord { x, y } = crest.middle() + Coord { x: 210.0, y: 30.0 };
    for_cells_within(crest, x, y, 160.0, |i, _| {
        if crest.values[i] > best.0 {
            best = (crest.values[i], i);
        }
    });
    crest.centre(best.1).into()
}
