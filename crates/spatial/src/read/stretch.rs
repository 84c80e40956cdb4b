//! Whether distances on the map are distances on the ground: slopes and areas rest on it.

use super::align::{Words, bare};
use super::crs::{Crs, Stretch};
use crate::problem::Problem;

/// Lengths and areas on the map may differ from the ground's by this much before it is warned of,
/// and refused.
const WARNED: f64 = 0.01;
const REFUSED: f64 = 0.05;

/// Questions a projection whose lengths or areas at a place are not the ground's; an error or a
/// warning by how far they are off. A place that is not on its map is an error. Nothing is known of a system that leads to no
/// place on the globe.
pub(super) fn doubt(crs: &Crs, middle: (f64, f64), words: &Words) -> Option<Problem> {
    let stretch = match crs.stretch_at(middle.0, middle.1) {
        Ok(stretch) => stretch,
        Err(error) if crs.is_metric() => {
            return Some(
                Problem::error(&*bare(words.crs))
                    .found(format!("({}, {}): {error}", middle.0, middle.1))
                    .expected("a place on the map of its system")
                    .remedy("see whether the file lies where it says, and says its true system"),
            );
        }
        Err(_) => return None,
    };
    let Stretch { area, least, most } = stretch;
    let off = [area, least, most].into_iter().map(|scale| (scale - 1.0).abs()).fold(0.0, f64::max);
    if off <= WARNED {
        return None;
    }
    let key = bare(words.crs);
    let problem = if off > REFUSED { Problem::error(&*key) } else { Problem::warning(&*key) };
    let lengths = if most - least < 0.001 {
        format!("100 m of ground measure {:.1} m", 100.0 * most)
    } else {
        format!("100 m of ground measure {:.1} to {:.1} m", 100.0 * least, 100.0 * most)
    };
    let problem = problem
        .found(format!(
            "{}: {lengths}, and a hectare {area:.3} ha, on its map here",
            crs.describe_fully()
        ))
        .expected(
            "a projection made for the place, whose lengths and areas are within 1 % of the \
             ground's: slopes, flow and hectares are measured on it",
        )
        .remedy(format!("set `{}` to your national grid or UTM zone", bare(words.crs)));
    Some(problem)
}

#[cfg(test)]
mod tests {
    use gdal::spatial_ref::SpatialRef;

    use super::super::align::{OPTIONS, SITE};
    use super::*;

    fn at(code: &str, longitude: f64, latitude: f64) -> Option<Problem> {
        let crs = Crs::from_user(code).unwrap();
        let mut place = [(longitude, latitude)];
        Crs::longitude_latitude().unwrap().transform_points(&crs, &mut place).unwrap();
        doubt(&crs, place[0], &OPTIONS)
    }

    #[test]
    fn maps_made_for_the_place_pass() {
        assert_eq!(at("EPSG:2193", 175.0, -40.0), None);
        assert_eq!(at("EPSG:32760", 175.0, -40.0), None);
        // The world map is true at the equator.
        assert_eq!(at("EPSG:3857", 37.0, 0.0), None);
    }

    #[test]
    fn stretched_maps_are_refused_and_slightly_stretched_ones_warned_of() {
        let web = at("EPSG:3857", 175.0, -40.0).unwrap();
        assert!(web.is_error() && web.remedy.contains("--crs"), "{web}");
        assert!(web.found.contains("100 m of ground measure 130"), "{web}");
        let equal = at("EPSG:6933", 175.0, -40.0).unwrap();
        assert!(equal.is_error() && equal.found.contains("a hectare 1.000 ha"), "{equal}");
        // UTM, two zones away.
        let far = at("EPSG:32758", 175.0, -40.0).unwrap();
        assert!(!far.is_error(), "{far}");
    }

    #[test]
    fn a_place_off_the_map_is_refused_and_a_system_of_its_own_is_not_judged() {
        let grid = Crs::from_user("EPSG:2193").unwrap();
        let off = doubt(&grid, (1e12, 1e12), &OPTIONS).unwrap();
        assert!(off.is_error() && off.found.contains("1000000000000"), "{off}");
        let own = SpatialRef::from_wkt("LOCAL_CS[\"site grid\",UNIT[\"metre\",1]]").unwrap();
        let own = Crs::from_spatial_ref(&own).unwrap();
        assert_eq!(doubt(&own, (10.0, 10.0), &OPTIONS), None);
    }

    #[test]
    fn a_site_is_told_of_its_own_key() {
        let web = Crs::from_user("EPSG:3857").unwrap();
        let problem = doubt(&web, (19_480_000.0, -4_865_000.0), &SITE).unwrap();
        assert_eq!(problem.item, "site.crs");
    }
}
