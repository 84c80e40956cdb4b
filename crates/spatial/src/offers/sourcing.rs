//! Home seed stays near home: which seed line may go on which zone.

use geo::{Distance, Euclidean, InteriorPoint, LineString, MultiPolygon, Point, Polygon};
use stock::{Library, Origin, Shape, Stock, StockKind};

use crate::problem::Problem;
use crate::read::{Crs, SeedZones};
use crate::site::{EcoSourcing, Site};
use crate::zones::{Zone, Zones};

/// Why lines may not go on zones.
#[derive(Debug, Clone, Default)]
pub struct Sourcing {
    /// `[zone][line]`.
    bars: Vec<Vec<Option<String>>>,
}

impl Sourcing {
    /// Holds every seed line with a known origin against the site's rules and its layer of seed
    /// zones. What is not known of an origin bars nothing, and is told.
    #[must_use]
    pub fn new(
        site: &Site,
        library: &Library,
        zones: &Zones,
        seed_zones: &SeedZones,
        crs: &Crs,
    ) -> (Self, Vec<Problem>) {
        let rules = &site.eco_sourcing;
        if *rules == EcoSourcing::default() && seed_zones.is_empty() {
            return (Self::default(), Vec::new());
        }
        let terms = Terms { site, seed_zones, crs };
        let mut warnings = Vec::new();
        let homes = library.stocks().iter().map(|stock| {
            let home = terms.home(stock, &mut warnings);
            if let Some(name) = home.as_ref().and_then(|home| home.seed_zone.as_deref()) {
                warnings.extend(terms.unmapped(stock, name));
            }
            home
        });
        let homes: Vec<Option<Home>> = homes.collect();
        let own: Vec<Option<&str>> = zones.zones.iter().map(|zone| terms.seed_zone(zone)).collect();
        if homes.iter().any(Option::is_some) {
            warnings.extend(terms.beyond(&own));
        }
        let bars = zones.zones.iter().zip(&own).map(|(zone, own)| {
            homes.iter().map(|home| bar(home.as_ref()?, zone, *own, rules)).collect()
        });
        (Self { bars: bars.collect() }, warnings)
    }

    /// Why a line may not go on a zone; `None`: it may.
    #[must_use]
    pub fn bar(&self, zone: usize, line: usize) -> Option<&str> {
        self.bars.get(zone)?.get(line)?.as_deref()
    }
}

/// What origins are held against.
#[derive(Clone, Copy)]
struct Terms<'a> {
    site: &'a Site,
    seed_zones: &'a SeedZones,
    crs: &'a Crs,
}

/// Where a seed line is at home, as far as it is known and asked for.
struct Home {
    /// In the plan's coordinate system; a point is a polygon without area.
    place: Option<MultiPolygon<f64>>,
    elevation_m: Option<f64>,
    seed_zone: Option<String>,
}

impl<'a> Terms<'a> {
    /// The home of a seed line of known origin; what the rules ask for and nobody knows is told.
    fn home(self, stock: &Stock, warnings: &mut Vec<Problem>) -> Option<Home> {
        if stock.kind != StockKind::SeedLine {
            return None;
        }
        let mut warn = |found: &str, expected: &str, remedy: &str| {
            let problem = Problem::warning(format!("{}: origin", stock.id)).file(&self.site.stock);
            warnings.push(problem.found(found).expected(expected).remedy(remedy));
        };
        let Some(origin) = &stock.origin else {
            let expected = "where its seed was gathered, to hold against the rules of eco-sourcing";
            warn("nothing", expected, "give it an origin; until then it is planted anywhere");
            return None;
        };
        let rules = &self.site.eco_sourcing;
        if rules.max_height_difference.is_some() && origin.elevation_m.is_none() {
            let expected = "its height, to hold against eco_sourcing.max_height_difference_m";
            warn("no height", expected, "give its elevation_m; until then no height is held to");
        }
        let place = self.place(origin).unwrap_or_else(|error| {
            let expected = "a place that leads into the plan's coordinate system";
            let remedy = "check its crs and numbers; until then its place is not held to";
            warn(&error, expected, remedy);
            None
        });
        if rules.max_distance.is_some() && origin.place.is_none() {
            let expected = "its place, to hold against eco_sourcing.max_distance_km";
            let remedy = "give its point or polygon; until then no distance is held to";
            warn("no place", expected, remedy);
        }
        let around = || self.seed_zones.at(place.as_ref()?.interior_point()?).map(str::to_owned);
        let seed_zone = origin.seed_zone.clone().or_else(around).filter(|_| self.asks_seed_zone());
        if self.asks_seed_zone() && seed_zone.is_none() {
            let expected = "the seed zone that its seed is of";
            let remedy = "give its seed_zone, or a place within [layers.seed_zones]; until then it \
                          may come from any";
            warn("no seed zone", expected, remedy);
        }
        Some(Home { place, elevation_m: origin.elevation_m, seed_zone })
    }

    fn asks_seed_zone(self) -> bool {
        self.site.eco_sourcing.seed_zone.is_some() || !self.seed_zones.is_empty()
    }

    /// Where seed was gathered, when a rule asks for it.
    fn place(self, origin: &Origin) -> Result<Option<MultiPolygon<f64>>, String> {
        let finds_zone = !self.seed_zones.is_empty() && origin.seed_zone.is_none();
        let asked = self.site.eco_sourcing.max_distance.is_some() || finds_zone;
        let place = origin.place.as_ref().filter(|_| asked);
        place.map(|place| in_plan(&place.crs, &place.shape, self.crs)).transpose()
    }

    /// The seed zone that a zone lies in: of the map, else of the whole property.
    fn seed_zone(self, zone: &Zone) -> Option<&'a str> {
        let mapped = self.seed_zones.most_of(&zone.geometry);
        mapped.or(self.site.eco_sourcing.seed_zone.as_deref())
    }

    /// Doubts a name that the map does not have.
    fn unmapped(self, stock: &Stock, name: &str) -> Option<Problem> {
        let mut names = self.seed_zones.names();
        if names.is_empty() {
            return None;
        }
        // Zones that no mapped one touches lie in the seed zone that the site names.
        names
            .extend(self.site.eco_sourcing.seed_zone.as_deref().filter(|own| !names.contains(own)));
        (!names.contains(&name)).then(|| {
            Problem::warning(format!("{}: origin.seed_zone", stock.id))
                .file(&self.site.stock)
                .found(format!(
                    "`{name}`, which no seed zone of [layers.seed_zones] or eco_sourcing.seed_zone is called"
                ))
                .expected(format!("one of {}", names.join(", ")))
                .remedy(
                    "write the name as the layer has it; until then it is barred wherever another \
                     seed zone is known",
                )
        })
    }

    /// Tells of zones in no seed zone.
    fn beyond(self, own: &[Option<&str>]) -> Option<Problem> {
        let without = own.iter().filter(|zone| zone.is_none()).count();
        (without > 0 && !self.seed_zones.is_empty()).then(|| {
            Problem::warning("layers.seed_zones")
                .file(&self.site.file)
                .found(format!("planting zones that lie in no seed zone: {without}"))
                .expected("seed zones that cover the property")
                .remedy(
                    "name their seed zone in eco_sourcing.seed_zone; until then no seed zone is held \
                     to there",
                )
        })
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

fn bar(home: &Home, zone: &Zone, seed_zone: Option<&str>, rules: &EcoSourcing) -> Option<String> {
    other_seed_zone(home, seed_zone)
        .or_else(|| too_high_or_low(home, zone, rules))
        .or_else(|| too_far(home.place.as_ref()?, zone, rules))
}

fn other_seed_zone(home: &Home, seed_zone: Option<&str>) -> Option<String> {
    let (own, asked) = (home.seed_zone.as_deref()?, seed_zone?);
    (own != asked).then(|| format!("its seed is of {own}, this zone lies in {asked}"))
}

fn too_high_or_low(home: &Home, zone: &Zone, rules: &EcoSourcing) -> Option<String> {
    let (gathered, most) = (home.elevation_m?, rules.max_height_difference?.0);
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
