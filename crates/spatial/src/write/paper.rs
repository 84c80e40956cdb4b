//! From the map to paper: pictures inside pages.

use std::fmt::Write;

use geo::{Coord, LineString, MultiPolygon, Rect, Simplify};

use crate::zones::rings;

/// Room along the edges, millimetres.
const EDGE_MM: f64 = 6.0;
/// Lines are drawn to this, millimetres: finer than a pen.
const FINE_MM: f64 = 0.12;
/// Scale bars are about this long at most, millimetres.
const BAR_MM: f64 = 60.0;

/// From metres of map to millimetres of paper.
pub(crate) struct Paper {
    west: f64,
    north: f64,
    mm_a_metre: f64,
    /// Width and height of the picture, millimetres.
    pub(crate) size_mm: [f64; 2],
}

impl Paper {
    /// Paper no larger than a room, on which all of some ground fits; `None` when there is none.
    pub(crate) fn over(ground: impl Iterator<Item = Rect<f64>>, room_mm: [f64; 2]) -> Option<Self> {
        let all = ground.reduce(|a, b| {
            let low = Coord { x: a.min().x.min(b.min().x), y: a.min().y.min(b.min().y) };
            let high = Coord { x: a.max().x.max(b.max().x), y: a.max().y.max(b.max().y) };
            Rect::new(low, high)
        })?;
        let [width, height] = [all.width(), all.height()].map(|side| side.max(1.0));
        let room = room_mm.map(|side| side - 2.0 * EDGE_MM);
        let mm_a_metre = (room[0] / width).min(room[1] / height);
        Some(Self {
            west: all.min().x,
            north: all.max().y,
            mm_a_metre,
            size_mm: [width, height].map(|side| side * mm_a_metre + 2.0 * EDGE_MM),
        })
    }

    /// A place in millimetres from the upper left.
    pub(crate) fn at(&self, place: Coord<f64>) -> [f64; 2] {
        [
            (place.x - self.west) * self.mm_a_metre + EDGE_MM,
            (self.north - place.y) * self.mm_a_metre + EDGE_MM,
        ]
    }

    /// A line as path data.
    pub(crate) fn path(&self, line: &LineString<f64>) -> String {
        let fine = line.simplify(FINE_MM / self.mm_a_metre);
        let mut path = String::new();
        for (at, corner) in fine.coords().enumerate() {
            let [x, y] = self.at(*corner);
            // writing to a String cannot fail
            let _ = write!(path, "{}{x:.2} {y:.2}", if at == 0 { "M" } else { "L" });
        }
        path
    }

    /// Polygons as path data.
    pub(crate) fn area(&self, shape: &MultiPolygon<f64>) -> String {
        shape.iter().flat_map(rings).map(|ring| self.path(ring) + "Z").collect()
    }

    /// Scale bar and north arrow below the frame, as SVG elements of some 8 mm of height.
    pub(crate) fn scale_and_north(&self) -> String {
        let [width, height] = self.size_mm;
        let bar_m = bar_metres(BAR_MM.min(width / 3.0) / self.mm_a_metre);
        let bar_mm = bar_m * self.mm_a_metre;
        let top = height + 4.0;
        let words =
            if bar_m >= 1000.0 { format!("{} km", bar_m / 1000.0) } else { format!("{bar_m} m") };
        format!(
            "<path d=\"M1 {top:.2}v2h{bar_mm:.2}v-2\" fill=\"none\" stroke=\"#000\" \
             stroke-width=\".4\"/><text x=\"{:.2}\" y=\"{:.2}\">{words}</text>\
             <path d=\"M{:.2} {:.2}l2 6l-2 -1.5l-2 1.5z\"/>\
             <text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"end\">grid north</text>",
            bar_mm + 3.0,
            top + 2.2,
            width - 4.0,
            height + 2.0,
            width - 8.0,
            top + 2.2,
        )
    }
}

/// The largest of 1, 2 and 5 times a power of ten that is not longer.
fn bar_metres(longest: f64) -> f64 {
    let power = 10_f64.powi(longest.log10().floor() as i32);
    let steps = [5.0, 2.0, 1.0];
    let step = steps.into_iter().find(|step| step * power <= longest).unwrap_or(1.0);
    step * power
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "the tests ask for exact values")]
mod tests {
    use super::*;

    #[test]
    fn bars_are_round() {
        let bars = [999.0, 1000.0, 1999.0, 4999.0, 5000.0, 70.0].map(bar_metres);
        assert_eq!(bars, [500.0, 1000.0, 1000.0, 2000.0, 5000.0, 50.0]);
    }
}
