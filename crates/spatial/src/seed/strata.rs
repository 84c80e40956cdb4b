//! Parts of stands that are sampled on their own: by height and by where the ground faces.

use std::collections::BTreeMap;

use super::places::Place;

/// Ground gentler than this faces nowhere, degrees; a choice.
const FLAT_BELOW_DEG: f64 = 5.0;

/// Where ground faces.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Quarter {
    North,
    East,
    South,
    West,
    Flat,
}

impl Quarter {
    fn of(place: &Place) -> Self {
        match place.aspect_deg {
            Some(aspect) if place.slope_deg >= FLAT_BELOW_DEG => {
                match ((aspect + 45.0).rem_euclid(360.0) / 90.0) as u8 {
                    0 => Self::North,
                    1 => Self::East,
                    2 => Self::South,
                    _ => Self::West,
                }
            }
            _ => Self::Flat,
        }
    }

    fn letter(self) -> &'static str {
        match self {
            Self::North => "N",
            Self::East => "E",
            Self::South => "S",
            Self::West => "W",
            Self::Flat => "flat",
        }
    }
}

/// A part of a stand.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Part {
    /// Stand, heights and quarter: `S001/200-300/N`.
    pub(super) name: String,
    /// Position among the sampled stands.
    pub(super) stand: usize,
    /// Positions among the places.
    pub(super) places: Vec<usize>,
}

/// Places by stand, altitude band and quarter, in that order. `band_m` is over 0.
pub(super) fn parts(places: &[Place], stand_ids: &[&str], band_m: f64) -> Vec<Part> {
    let mut parts: BTreeMap<(usize, i64, Quarter), Vec<usize>> = BTreeMap::new();
    for (at, place) in places.iter().enumerate() {
        let band = (place.elevation_m / band_m).floor() as i64;
        parts.entry((place.stand, band, Quarter::of(place))).or_default().push(at);
    }
    let part = |((stand, band, quarter), places): ((usize, i64, Quarter), Vec<usize>)| {
        let [low, high] = [band, band + 1].map(|edge| metres(edge as f64 * band_m));
        let name = format!("{}/{low}-{high}/{}", stand_ids[stand], quarter.letter());
        Part { name, stand, places }
    };
    parts.into_iter().map(part).collect()
}

/// Metres without a point where they are whole.
fn metres(edge: f64) -> String {
    let text = format!("{edge:.1}");
    text.strip_suffix(".0").map_or_else(|| text.clone(), str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(elevation_m: f64, slope_deg: f64, aspect_deg: Option<f64>) -> Place {
        Place { id: None, at: [0.0, 0.0], stand: 0, elevation_m, slope_deg, aspect_deg }
    }

    #[test]
    fn quarters_turn_with_the_sun_and_flat_faces_nowhere() {
        let cases = [
            (0.0, "N"),
            (44.9, "N"),
            (45.0, "E"),
            (134.9, "E"),
            (180.0, "S"),
            (225.0, "W"),
            (314.9, "W"),
            (315.0, "N"),
            (359.9, "N"),
        ];
        for (aspect, letter) in cases {
            assert_eq!(Quarter::of(&place(0.0, 20.0, Some(aspect))).letter(), letter, "{aspect}");
        }
        assert_eq!(Quarter::of(&place(0.0, 4.9, Some(90.0))), Quarter::Flat);
        assert_eq!(Quarter::of(&place(0.0, 20.0, None)), Quarter::Flat);
    }

    #[test]
    fn bands_begin_at_whole_steps_and_hold_their_lower_edge() {
        let places = [
            place(99.9, 20.0, Some(0.0)),
            place(100.0, 20.0, Some(0.0)),
            place(-0.5, 1.0, None),
            place(150.0, 20.0, Some(10.0)),
        ];
        let parts = parts(&places, &["S007"], 100.0);
        let told: Vec<(&str, usize)> =
            parts.iter().map(|part| (part.name.as_str(), part.places.len())).collect();
        let expected = [("S007/-100-0/flat", 1), ("S007/0-100/N", 1), ("S007/100-200/N", 2)];
        assert_eq!(told, expected);
        assert_eq!(metres(33.3 * 3.0), "99.9");
    }
}
