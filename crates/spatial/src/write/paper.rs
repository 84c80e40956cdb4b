//! From the map to paper: pictures inside pages.

use std::fmt::Write;

use geo::{Coord, LineString, MultiPolygon, Rect, Simplify};

use super::table::joined;
use crate::zones::rings;

/// Room along the edges, millimetres.
const EDGE_MM: f64 = 6.0;
/// Lines are drawn to this, millimetres: finer than a pen.
const FINE_MM: f64 = 0.12;
/// Scale bars are about this long at most, millimetres.
const BAR_MM: f64 = 60.0;

/// From metres of map to millimetres of paper.
pub struct Paper {
    west: f64,
    north: f64,
    mm_a_metre: f64,
    /// Width and height of the picture, millimetres.
    pub size_mm: [f64; 2],
}

impl Paper {
    /// Paper no larger than a room, on which all of some ground fits; `None` when there is none.
    #[must_use]
    pub fn over(ground: impl Iterator<Item = Rect<f64>>, room_mm: [f64; 2]) -> Option<Self> {
        let all = ground.reduce(joined)?;
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

    /// Paper of exactly a size, with some ground in its middle at the largest round scale at which all of it fits, and
    /// that scale's denominator; `None` when there is no ground.
    #[must_use]
    pub fn to_scale(
        ground: impl Iterator<Item = Rect<f64>>,
        size_mm: [f64; 2],
    ) -> Option<(Self, f64)> {
        let ground = ground.reduce(joined)?;
        let room = size_mm.map(|side| (side - 2.0 * EDGE_MM).max(1.0));
        let fits = (ground.width() / room[0]).max(ground.height() / room[1]).max(1e-3) * 1000.0;
        let denominator = round_scale(fits);
        let mm_a_metre = 1000.0 / denominator;
        let middle = ground.center();
        let paper = Self {
            west: middle.x - (size_mm[0] / 2.0 - EDGE_MM) / mm_a_metre,
            north: middle.y + (size_mm[1] / 2.0 - EDGE_MM) / mm_a_metre,
            mm_a_metre,
            size_mm,
        };
        Some((paper, denominator))
    }

    /// Millimetres of paper in a metre of map.
    #[must_use]
    pub fn mm_a_metre(&self) -> f64 {
        self.mm_a_metre
    }

    /// The ground that the paper shows, edge to edge.
    #[must_use]
    pub fn ground(&self) -> Rect<f64> {
        let edge = EDGE_MM / self.mm_a_metre;
        let west_north = Coord { x: self.west - edge, y: self.north + edge };
        let size = self.size_mm.map(|side| side / self.mm_a_metre);
        Rect::new(west_north, Coord { x: west_north.x + size[0], y: west_north.y - size[1] })
    }

    /// A place in millimetres from the upper left.
    #[must_use]
    pub fn at(&self, place: Coord<f64>) -> [f64; 2] {
        [
            (place.x - self.west) * self.mm_a_metre + EDGE_MM,
            (self.north - place.y) * self.mm_a_metre + EDGE_MM,
        ]
    }

    /// A line as path data.
    #[must_use]
    pub fn path(&self, line: &LineString<f64>) -> String {
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
    #[must_use]
    pub fn area(&self, shape: &MultiPolygon<f64>) -> String {
        shape.iter().flat_map(rings).map(|ring| self.path(ring) + "Z").collect()
    }

    /// Scale bar and north arrow below the frame, as SVG elements of some 8 mm of height.
    #[must_use]
    pub fn scale_and_north(&self) -> String {
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

/// The smallest of usual denominators that is not smaller.
fn round_scale(least: f64) -> f64 {
    const STEPS: [f64; 7] = [1.0, 1.25, 1.5, 2.0, 2.5, 5.0, 7.5];
    let power = 10_f64.powf(least.log10().floor());
    STEPS
        .map(|step| step * power)
        .into_iter()
        .find(|one| *one >= least - 1e-9)
        .unwrap_or(10.0 * power)
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
    fn scales_are_round() {
        let scales = [7_600.0, 7_500.0, 9_999.0, 10_001.0, 2_400.0].map(round_scale);
        assert_eq!(scales, [10_000.0, 7_500.0, 10_000.0, 12_500.0, 2_500.0]);
        let ground = Rect::new(Coord { x: 0.0, y: 0.0 }, Coord { x: 1000.0, y: 500.0 });
        let ground = std::iter::once(ground);
        let (paper, denominator) = Paper::to_scale(ground, [112.0, 112.0]).unwrap();
        assert_eq!(denominator, 10_000.0);
        assert_eq!(paper.at(Coord { x: 500.0, y: 250.0 }), [56.0, 56.0]);
        assert!((paper.ground().width() - 1120.0).abs() < 1e-9);
    }

    #[test]
    fn bars_are_round() {
        let bars = [999.0, 1000.0, 1999.0, 4999.0, 5000.0, 70.0].map(bar_metres);
        assert_eq!(bars, [500.0, 1000.0, 1000.0, 2000.0, 5000.0, 50.0]);
    }
}
