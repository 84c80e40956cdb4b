//! Streams where the elevation itself gathers enough water, as lines that grow downstream.

use geo::{Coord, LineString, Simplify};

use crate::field::Field;
use crate::ground::Ground;

/// Drained area from which a gully carries a mapped stream.
const HEAD_M2: f64 = 25_000.0;
/// Invented names, for the biggest tributaries first.
const NAMES: [&str; 5] =
    ["Hover Creek", "Tailfeather Creek", "Windgap Creek", "Pellet Gully", "Fledgling Gully"];

/// A stream between two confluences. Positions as in [`Field`].
pub(crate) struct Stream {
    pub(crate) line: LineString,
    pub(crate) name: Option<&'static str>,
    pub(crate) width_m: f64,
}

/// Every mapped stream, the main one first.
pub(crate) fn trace_streams(ground: &Ground) -> Vec<Stream> {
    let names = name_cells(ground);
    let donors = wet_donors(ground);
    let starts = |i: &usize| ground.area.values[*i] >= HEAD_M2 && donors[*i].len() != 1;
    let mut streams: Vec<Stream> = (0..donors.len())
        .filter(starts)
        .filter_map(|start| link(ground, &donors, &names, start))
        .collect();
    let rank = |name: Option<&str>| {
        name.map_or(usize::MAX, |name| NAMES.iter().position(|&n| n == name).map_or(0, |i| i + 1))
    };
    streams.sort_by_key(|stream| rank(stream.name));
    streams
}

/// The line of the main stream, from where it enters to where it leaves.
pub(crate) fn main_stream(streams: &[Stream]) -> LineString {
    let mut links: Vec<&LineString> =
        streams.iter().filter(|s| s.name == Some(MAIN)).map(|s| &s.line).collect();
    let mut line: Vec<Coord> = Vec::new();
    let first = |links: &[&LineString]| {
        links.iter().position(|a| links.iter().all(|b| a.0.first() != b.0.last()))
    };
    let mut next = first(&links);
    while let Some(i) = next {
        let link = links.remove(i);
        line.extend(&link.0);
        next = links.iter().position(|other| other.0.first() == link.0.last());
    }
    line.dedup();
    LineString(line)
}

const MAIN: &str = "Kestrel Stream";

fn wet_donors(ground: &Ground) -> Vec<Vec<u32>> {
    let mut donors = ground.water.donors();
    for cells in &mut donors {
        cells.retain(|&cell| ground.area.values[cell as usize] >= HEAD_M2);
    }
    donors
}

/// The name of the stream in each cell: the biggest outlet's, then the biggest tributaries'.
fn name_cells(ground: &Ground) -> Vec<Option<&'static str>> {
    let (donors, area) = (wet_donors(ground), &ground.area.values);
    let mut names = vec![None; area.len()];
    let biggest =
        |cells: &[usize]| cells.iter().copied().max_by(|&a, &b| area[a].total_cmp(&area[b]));
    let outlets: Vec<usize> = (0..area.len()).filter(|&i| ground.area.on_rim(i)).collect();
    let mut mouth = biggest(&outlets);
    let mut tributaries: Vec<usize> = Vec::new();
    for name in std::iter::once(MAIN).chain(NAMES) {
        let Some(start) = mouth else { break };
        let mut at = Some(start);
        while let Some(cell) = at {
            names[cell] = Some(name);
            let above: Vec<usize> = donors[cell].iter().map(|&d| d as usize).collect();
            at = biggest(&above);
            if name == MAIN {
                tributaries.extend(above.into_iter().filter(|&d| Some(d) != at));
            }
        }
        mouth = biggest(&tributaries);
        tributaries.retain(|&cell| Some(cell) != mouth);
    }
    names
}

/// The stream from a head or a confluence to the next confluence or the rim.
fn link(
    ground: &Ground,
    donors: &[Vec<u32>],
    names: &[Option<&'static str>],
    start: usize,
) -> Option<Stream> {
    let mut cells = vec![start];
    let mut at = start;
    loop {
        let to = ground.water.receiver[at] as usize;
        if to == at {
            break;
        }
        cells.push(to);
        at = to;
        if donors[at].len() != 1 {
            break;
        }
    }
    let middle = cells[cells.len() / 2];
    (cells.len() >= 4).then(|| Stream {
        line: smooth_line(&ground.elevation, &cells),
        name: names[middle],
        width_m: width_m(ground.area.values[middle]),
    })
}

/// Width of a stream that drains an area: 0.8 m at its head, growing to 6 m.
fn width_m(area_m2: f64) -> f64 {
    let width = 0.8 * (area_m2 / HEAD_M2).powf(0.34);
    (width.clamp(0.8, 6.0) * 10.0).round() / 10.0
}

/// Cell centres made into a line without stair steps; both ends stay.
fn smooth_line(field: &Field, cells: &[usize]) -> LineString {
    let mut points: Vec<Coord> = cells.iter().map(|&i| field.centre(i).into()).collect();
    for _ in 0..8 {
        let before = points.clone();
        for i in 1..points.len() - 1 {
            points[i] = (before[i - 1] + before[i] * 2.0 + before[i + 1]) / 4.0;
        }
    }
    LineString(points).simplify(0.4)
}
