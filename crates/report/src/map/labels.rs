//! Names inside polygons, where they fit and meet no other.

use geo::{BoundingRect, Contains, Coord, InteriorPoint, MultiPolygon, Point, Rect};
use palette::escaped;
use spatial::write::Paper;

use crate::text::put;

/// Height of letters, millimetres.
const SIZE_MM: f64 = 2.0;

/// Names that stand on a map.
#[derive(Default)]
pub(super) struct Labels {
    taken: Vec<Rect<f64>>,
    svg: String,
}

impl Labels {
    /// Puts the first of some names, longest first, that fits inside a shape and meets no other; none where none
    /// does.
    pub(super) fn put(&mut self, names: &[&str], shape: &MultiPolygon<f64>, paper: &Paper) -> bool {
        let Some(place) = widest(shape) else { return false };
        let [x, y] = paper.at(place.into());
        for name in names {
            let wide = name.chars().count() as f64 * SIZE_MM * 0.62 + 0.8;
            let low = Coord { x: x - wide / 2.0, y: y - SIZE_MM / 2.0 - 0.3 };
            let high = Coord { x: x + wide / 2.0, y: y + SIZE_MM / 2.0 + 0.3 };
            let room = Rect::new(low, high);
            let meets = |other: &Rect<f64>| geo::Intersects::intersects(other, &room);
            if self.taken.iter().any(meets) || !holds(shape, place, room, paper) {
                continue;
            }
            self.taken.push(room);
            put(
                &mut self.svg,
                format_args!(
                    "<rect x=\"{:.2}\" y=\"{:.2}\" width=\"{:.2}\" height=\"{:.2}\" rx=\".5\" fill=\"#fff\" \
                 fill-opacity=\".85\"/><text x=\"{x:.2}\" y=\"{:.2}\" font-size=\"{SIZE_MM}\" \
                 text-anchor=\"middle\">{}</text>\n",
                    room.min().x,
                    room.min().y,
                    room.width(),
                    room.height(),
                    y + SIZE_MM * 0.36,
                    escaped(name)
                ),
            );
            return true;
        }
        false
    }

    /// What was put, as SVG.
    pub(super) fn svg(self) -> String {
        self.svg
    }
}

/// Where the largest part of a shape is widest from east to west.
fn widest(shape: &MultiPolygon<f64>) -> Option<Point<f64>> {
    let size = |part: &geo::Polygon<f64>| {
        part.bounding_rect().map_or(0.0, |all| all.width() * all.height())
    };
    shape.iter().max_by(|a, b| size(a).total_cmp(&size(b)))?.interior_point()
}

/// Whether the corners and sides of a label lie inside.
fn holds(shape: &MultiPolygon<f64>, place: Point<f64>, room: Rect<f64>, paper: &Paper) -> bool {
    let [wide, high] = [room.width(), room.height()].map(|side| side / 2.0 / paper.mm_a_metre());
    let around = [-1.0, 0.0, 1.0];
    around.iter().all(|east| {
        around.iter().all(|north| {
            shape.contains(&Point::new(place.x() + east * wide, place.y() + north * high))
        })
    })
}
