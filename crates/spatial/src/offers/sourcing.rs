//! Home seed stays near home: which seed line may go on which zone.

use geo::{Distance, Euclidean, LineString, MultiPolygon, Point, Polygon};
use stock::{Library, Origin, Shape, Stock, StockKind};

use crate::problem::Problem;
use crate::read::Crs;
use crate::site::{EcoSourcing, Site};
use crate::zones::{Zone, Zones};

/// Why lines may not go on zones.
#[derive(Debug, Clone, Default)]
pub struct Sourcing {
    /// `[zone][line]`.
    bars: Vec<Vec<Option<String>>>,
}

impl Sourcing {
    /// Holds every seed line with a known origin against the site's rules. What is not known of an
    /// origin bars nothing, and is told.
    #[must_use]
    pub fn new(site: &Site, library: &Library, zones: &Zones, crs: &Crs) -> (Self, Vec<Problem>) {
        let rules = &site.eco_sourcing;
        if *rules == EcoSourcing::default() {
            return (Self::default(), Vec::new());
        }
        let mut warnings = Vec::new();
        let places: Vec<Option<MultiPolygon<f64>>> = library
            .stocks()
            .iter()
            .map(|stock| {
                let (place, warning) = place_of(stock, site, crs);
                warnings.extend(warning);
                place
            })
            .collect();
        let bars = |zone: &Zone| {
            let lines = library.stocks().iter().zip(&places);
            lines.map(|(stock, place)| bar(stock, place.as_ref(), zone, rules)).collect()
        };
        (Self { bars: zones.zones.iter().map(bars).collect() }, warnings)
    }

    /// Why a line may not go on a zone; `None`: it may.
    #[must_use]
    pub fn bar(&self, zone: usize, line: usize) -> Option<&str> {
        self.bars.get(zone)?.get(line)?.as_deref()
    }
}

/// Where a seed line was gathered, in the plan's coordinate system, and what of its origin the rules
/// ask for and nobody knows; a point is a polygon without area.
fn place_of(stock: &Stock, site: &Site, crs: &Crs) -> (Option<MultiPolygon<f64>>, Vec<Problem>) {
    let rules = &site.eco_sourcing;
    if stock.kind != StockKind::SeedLine {
        return (None, Vec::new());
    }
    let warn = |found: &str, expected: &str, remedy: &str| {
        let problem = Problem::warning(format!("{}: origin", stock.id)).file(&site.stock);
        problem.found(found).expected(expected).remedy(remedy)
    };
    let Some(origin) = &stock.origin else {
        let expected = "where its seed was gathered, to hold against [eco_sourcing]";
        let remedy = "give it an origin; until then it is planted anywhere";
        return (None, vec![warn("nothing", expected, remedy)]);
    };
    let mut warnings = Vec::new();
    let unknown = [
        (
            rules.max_height_difference.is_some() && origin.elevation_m.is_none(),
            "no height",
            "its height, to hold against eco_sourcing.max_height_difference_m",
            "give its elevation_m; until then no height is held to",
        ),
        (
            rules.seed_zone.is_some() && origin.seed_zone.is_none(),
            "no seed zone",
            "its seed zone, to hold against eco_sourcing.seed_zone",
            "give its seed_zone; until then it may come from any",
        ),
        (
            rules.max_distance.is_some() && origin.place.is_none(),
            "no place",
            "its place, to hold against eco_sourcing.max_distance_km",
            "give its point or polygon; until then no distance is held to",
        ),
    ];
    for (is_unknown, found, expected, remedy) in unknown {
        if is_unknown {
            warnings.push(warn(found, expected, remedy));
        }
    }
    let Some(place) = origin.place.as_ref().filter(|_| rules.max_distance.is_some()) else {
        return (None, warnings);
    };
    match in_plan(&place.crs, &place.shape, crs) {
        Ok(shape) => (Some(shape), warnings),
        Err(error) => {
            let expected = "a place that leads into the plan's coordinate system";
            let remedy = "check its crs and numbers; until then no distance is held to";
            warnings.push(warn(&error, expected, remedy));
            (None, warnings)
        }
    }
}

fn in_plan(from: &str, shape: &Shape, crs: &Crs) -> Result<MultiPolygon<f64>, String> {
    let from = Crs::from_user(from)?;
    let moved = |positions: &[[f64; 2]]| -> Result<LineString<f64>, String> {
        let mut points: Vec<(f64, f64)> = positions.iter().map(|[x, y]| (*x, *y)).collect();
        from.transform_points(crs, &mut points).map_err(|error| error.to_string())?;
        Ok(LineString::from(points))
    };
    let polygon = match shape {
        Shape::Point(at) => Polygon::new(moved(&[*at, *at, *at, *at])?, Vec::new()),
        Shape::Polygon(rings) => {
            let mut rings = rings.iter().map(|ring| moved(ring)).collect::<Result<Vec<_>, _>>()?;
            let outer = if rings.is_empty() { LineString::new(vec![]) } else { rings.remove(0) };
            Polygon::new(outer, rings)
        }
    };
    Ok(MultiPolygon::new(vec![polygon]))
}

fn bar(
    stock: &Stock,
    place: Option<&MultiPolygon<f64>>,
    zone: &Zone,
    rules: &EcoSourcing,
) -> Option<String> {
    if stock.kind != StockKind::SeedLine {
        return None;
    }
    let origin = stock.origin.as_ref()?;
    other_seed_zone(origin, rules)
        .or_else(|| too_high_or_low(origin, zone, rules))
        .or_else(|| too_far(place?, zone, rules))
}

fn other_seed_zone(origin: &Origin, rules: &EcoSourcing) -> Option<String> {
    let (own, asked) = (origin.seed_zone.as_ref()?, rules.seed_zone.as_ref()?);
    (own != asked).then(|| format!("its seed is of {own}, the property lies in {asked}"))
}

fn too_high_or_low(origin: &Origin, zone: &Zone, rules: &EcoSourcing) -> Option<String> {
    let (gathered, most) = (origin.elevation_m?, rules.max_height_difference?.0);
    let height = zone.statistics.elevation_m[1];
    ((height - gathered).abs() > most).then(|| {
        let side = if height > gathered { "higher" } else { "lower" };
        let apart = (height - gathered).abs();
        format!("the zone lies {apart:.0} m {side} than its seed was gathered; at most {most} m")
    })
}

fn too_far(place: &MultiPolygon<f64>, zone: &Zone, rules: &EcoSourcing) -> Option<String> {
    let most = rules.max_distance?.0;
    let apart = match place.0.first().map(|polygon| polygon.exterior().0.as_slice()) {
        Some([only, rest @ ..]) if rest.iter().all(|other| other == only) => {
            Euclidean.distance(&Point::from(*only), &zone.geometry)
        }
        _ => Euclidean.distance(place, &zone.geometry),
    };
    (apart > most).then(|| {
        let (apart, most) = (apart / 1_000.0, most / 1_000.0);
        format!("its seed was gathered {apart:.1} km away; at most {most} km")
    })
}
