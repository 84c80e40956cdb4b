//! Everything read, aligned and checked: what the plan is made from.

mod drawn;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use geo::{BoundingRect, LineString, MultiPolygon, Rect};
use serde::Serialize;
use terrain::{Grid, Raster};

use super::align::{self, SITE};
use super::boundary::{self, Boundary};
use super::breaks::{self, Breaks, Drawn};
use super::category::{self, Ground};
use super::climate::{self, Climate};
use super::crs::Crs;
use super::elevation::{self, all_holes, apart, old_datum, range_of};
use super::facts::{CategoryShare, LayerFacts, percent};
use super::inputs;
use super::keep_clear::{KeepClearArea, grown, role_of};
use super::measure::{self, Measure, on_property};
use super::raster_file::RasterFile;
use super::rasterise::inside;
use super::refusal::{not_carried, not_laid};
use super::seed_zones::{self, SeedZones};
use super::streams;
use super::stretch;
use super::tracks;
use super::vector_file::VectorFile;
use crate::ground::{are_warm, winter_months};
use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::site::{DefaultTaken, DrainageClass, SeedZoneSource, Site, VectorSource};
use drawn::DrawnPlaces;
pub use drawn::read_drawn;

/// The layers of a site on one grid.
#[derive(Debug, Clone)]
pub struct Ready {
    /// The grid of every raster here: the property and its halo.
    pub grid: Grid,
    /// Coordinate system of the grid and of all geometry, in metres.
    pub crs: Crs,
    /// Latitude of the middle of the property, degrees, north positive.
    pub latitude_deg: f64,
    /// The property.
    pub boundary: MultiPolygon<f64>,
    /// Metres; holes are NaN.
    pub elevation: Arc<Raster<f32>>,
    /// Metres in one unit of the elevation file's values.
    pub metres_per_unit: f64,
    /// Degrees, when given.
    pub slope_deg: Option<Arc<Raster<f32>>>,
    /// Degrees clockwise from north, flat ground NaN, when given.
    pub aspect_deg: Option<Arc<Raster<f32>>>,
    /// ln(a / tan β), when given.
    pub wetness_index: Option<Arc<Raster<f32>>>,
    /// Row of the cover table plus one; 0: not known.
    pub cover: Option<Arc<Raster<u8>>>,
    /// Row of the drainage table plus one; 0: not known.
    pub drainage: Option<Arc<Raster<u8>>>,
    /// Row of the table of erosion terrains plus one; 0: not known.
    pub erosion_terrain: Option<Arc<Raster<u8>>>,
    /// Cells that a mapped stream touches, when given.
    pub streams: Option<Arc<Raster<bool>>>,
    /// What people have drawn for zones to keep to.
    pub breaks: Breaks,
    /// Tracks on which plants are brought; none when not given.
    pub tracks: Vec<LineString<f64>>,
    /// Whose seed belongs where; none when not given.
    pub seed_zones: SeedZones,
    /// Station normals, when given.
    pub climate: Option<Climate>,
    /// One for each rule, in the order of the rules.
    pub keep_clear: Vec<KeepClearArea>,
    /// Every file that was read, with its checksum.
    pub inputs: Vec<InputRecord>,
    /// What is used of each layer.
    pub facts: Vec<LayerFacts>,
    /// Every default taken here.
    pub defaults: Vec<DefaultTaken>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
    /// How far ground was read.
    reach: Rect<f64>,
    /// Where in `facts` and `warnings` those of what people draw are.
    drawn: DrawnPlaces,
}

#[cfg(test)]
impl Ready {
    /// A property, metres of EPSG:2193, of which nothing but its boundary is known.
    pub(crate) fn bare(grid: Grid, boundary: MultiPolygon<f64>) -> Self {
        let reach = boundary.bounding_rect().expect("a boundary");
        Self {
            crs: Crs::from_user("EPSG:2193").expect("a published system"),
            latitude_deg: -40.0,
            boundary,
            elevation: Arc::new(Raster::filled(grid, f32::NAN)),
            metres_per_unit: 1.0,
            slope_deg: None,
            aspect_deg: None,
            wetness_index: None,
            cover: None,
            drainage: None,
            erosion_terrain: None,
            streams: None,
            breaks: Breaks::default(),
            tracks: Vec::new(),
            seed_zones: SeedZones::default(),
            climate: None,
            keep_clear: Vec::new(),
            inputs: Vec::new(),
            facts: Vec::new(),
            defaults: Vec::new(),
            warnings: Vec::new(),
            reach,
            drawn: DrawnPlaces::default(),
            grid,
        }
    }
}

impl Ready {
    /// Every default of a site: those its file left open, and what reading made of them. A default
    /// that reading settled is told once, as settled.
    #[must_use]
    pub fn all_defaults(&self, site: &Site) -> Vec<DefaultTaken> {
        let settled = |key: &str| self.defaults.iter().any(|one| one.key == key);
        let open = site.defaults.iter().filter(|one| !settled(&one.key));
        open.chain(&self.defaults).cloned().collect()
    }
}

/// Below this share of the property with an elevation there is no plan: it would be one of
/// another property. Above it, ground without an elevation is warned of.
const MIN_COVERED: f64 = 0.5;

/// The least halo, in cells: a 3 × 3 window at the edge of the property needs one.
const HALO_CELLS: f64 = 2.0;

/// Least and greatest halo where the site does not say, metres.
const HALO_M: [f64; 2] = [150.0, 10_000.0];

/// Reads every layer of a site.
///
/// # Errors
/// Every problem found, errors first; layers that can be looked at are looked at even after
/// another has failed.
pub fn read(site: &Site) -> Result<Ready, Vec<Problem>> {
    let before = inputs::Stands::of(&files_of(site));
    let ready = read_once(site);
    // Of a file that was changed meanwhile nothing is believed, faults neither.
    let changed = before.changed();
    if changed.is_empty() { ready } else { Err(changed) }
}

fn read_once(site: &Site) -> Result<Ready, Vec<Problem>> {
    let mut findings = Findings::default();
    let climate = site.layers.climate.as_ref().and_then(|source| {
        findings.facts.push(LayerFacts::of_file("climate", &source.file, "12 monthly normals"));
        findings.keep(climate::read(source))
    });
    let Some(base) = findings.placed(site) else {
        findings.probe_layers(site);
        return Err(findings.into_problems(site));
    };
    let layers = findings.layers(site, &base);
    let frame = Frame { crs: &base.crs, reach: base.reach };
    let (breaks, keep_clear, drawn) = findings.drawn(site, &frame, None);
    // A file that cannot be read has been told of; what its sum would be of has no plan.
    let inputs = if findings.problems.is_empty() { findings.inputs(site) } else { None };
    let Some(inputs) = inputs else { return Err(findings.into_problems(site)) };
    Ok(Ready {
        grid: base.grid,
        crs: base.crs,
        latitude_deg: base.latitude_deg,
        boundary: base.boundary,
        elevation: Arc::new(base.elevation),
        metres_per_unit: base.metres_per_unit,
        slope_deg: layers.slope.map(Arc::new),
        aspect_deg: layers.aspect.map(Arc::new),
        wetness_index: layers.wetness.map(Arc::new),
        cover: layers.cover.map(Arc::new),
        drainage: layers.drainage.map(Arc::new),
        erosion_terrain: layers.erosion_terrain.map(Arc::new),
        streams: layers.streams.map(Arc::new),
        breaks,
        tracks: layers.tracks,
        seed_zones: layers.seed_zones,
        climate,
        keep_clear,
        inputs,
        facts: findings.facts,
        defaults: findings.defaults,
        warnings: findings.warnings,
        reach: base.reach,
        drawn,
    })
}

/// The codes of a site's layers that lie on the property.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct CodesThere {
    /// Of what grows there, with the share of the property of each.
    pub cover: Vec<CategoryShare>,
    /// Of soil drainage.
    pub drainage: Vec<CategoryShare>,
}

/// Which codes lie on the property, whether the tables of the site have them or not.
///
/// # Errors
/// Every problem of elevation, boundary and those two layers.
pub fn codes_there(site: &Site) -> Result<CodesThere, Vec<Problem>> {
    let mut findings = Findings::default();
    let Some(base) = findings.placed(site) else { return Err(findings.into_problems(site)) };
    let ground = Ground { grid: &base.grid, crs: &base.crs, property: &base.property };
    let (cover, drainage) = (&site.layers.cover, &site.layers.drainage);
    let cover = cover.as_ref().map(|source| category::codes("cover", source, &ground));
    let drainage = drainage.as_ref().map(|source| category::codes("drainage", source, &ground));
    let [cover, drainage] = [cover, drainage]
        .map(|codes| codes.and_then(|codes| findings.keep(codes)).unwrap_or_default());
    if findings.problems.is_empty() {
        Ok(CodesThere { cover, drainage })
    } else {
        Err(findings.into_problems(site))
    }
}

/// What vectors are read into.
struct Frame<'a> {
    crs: &'a Crs,
    reach: Rect<f64>,
}

/// What every other layer is laid on.
struct Base {
    grid: Grid,
    crs: Crs,
    latitude_deg: f64,
    boundary: MultiPolygon<f64>,
    reach: Rect<f64>,
    elevation: Raster<f32>,
    metres_per_unit: f64,
    property: Vec<bool>,
}

struct Layers {
    slope: Option<Raster<f32>>,
    aspect: Option<Raster<f32>>,
    wetness: Option<Raster<f32>>,
    cover: Option<Raster<u8>>,
    drainage: Option<Raster<u8>>,
    erosion_terrain: Option<Raster<u8>>,
    streams: Option<Raster<bool>>,
    tracks: Vec<LineString<f64>>,
    seed_zones: SeedZones,
}

/// What has come to light so far.
#[derive(Default)]
struct Findings {
    problems: Vec<Problem>,
    warnings: Vec<Problem>,
    defaults: Vec<DefaultTaken>,
    facts: Vec<LayerFacts>,
}

impl Findings {
    fn keep<T, E: Into<Vec<Problem>>>(&mut self, outcome: Result<T, E>) -> Option<T> {
        outcome.map_err(|problems| self.problems.extend(problems.into())).ok()
    }

    /// Errors first; what is wrong with no layer is wrong with what the site file says.
    fn into_problems(mut self, site: &Site) -> Vec<Problem> {
        self.problems.append(&mut self.warnings);
        self.problems.into_iter().map(|problem| problem.of_file(&site.file)).collect()
    }

    /// Elevation and boundary, opened and laid on the plan's grid.
    fn placed(&mut self, site: &Site) -> Option<Base> {
        let file = self.keep(elevation::open(&site.layers.elevation.file));
        let crs = file
            .as_ref()
            .and_then(|file| self.keep(align::plan_crs(file, site.crs.as_deref(), &SITE)));
        let boundary = if let Some(crs) = &crs {
            self.keep(boundary::read(&site.layers.boundary, crs))
        } else {
            self.probe_vector("boundary", &site.layers.boundary, None);
            None
        };
        self.base(site, &file?, crs?, boundary?)
    }

    /// Grid, elevation and the cells of the property.
    fn base(
        &mut self,
        site: &Site,
        file: &RasterFile,
        crs: Crs,
        boundary: Boundary,
    ) -> Option<Base> {
        let Boundary { shape, file: layer, features } = boundary;
        let used = "the property: the union of all its polygons";
        self.facts.push(LayerFacts::of_vector(&layer, features, used));
        self.warnings.extend(layer.datum_warning(&crs));
        let frame = shape.bounding_rect()?;
        let middle = frame.center();
        self.check_stretch(site, &crs, (middle.x, middle.y));
        let place = crs.longitude_latitude_at(middle.x, middle.y);
        let fault = |error: super::crs::TransformError| not_carried(layer.fault(), error);
        let latitude_deg = self.keep(place.map_err(fault))?.1;
        self.check_season(site, latitude_deg);
        let cell = site.cell.map(|cell| cell.0);
        let (width, height) = file.cell_sides();
        let least = HALO_CELLS
            * cell.unwrap_or(if crs.is_same(file.crs().ok()?) {
                width.max(height)
            } else {
                self.keep(align::default_cell(file, &crs, Some((middle.x, middle.y))))?
            });
        let extent = self.keep(elevation::bounds_in(file, &crs))?;
        let reach = self.reach(site, frame, extent, least);
        let target = self.keep(align::grid_over(file, &crs, reach, cell, &SITE))?;
        let grid = target.grid;
        self.defaults.extend(target.cell);
        if site.crs.is_none() {
            self.defaults.push(DefaultTaken {
                key: "site.crs".to_owned(),
                value: crs.describe(),
                source: "the elevation layer's own".to_owned(),
            });
        }
        let property = inside(&grid, &shape).map_err(|reason| not_laid(layer.fault(), reason));
        let property = self.keep(property)?;
        let (elevation, metres_per_unit) = self.elevation(site, file, &crs, &grid, &property)?;
        Some(Base {
            grid,
            crs,
            latitude_deg,
            boundary: shape,
            reach,
            elevation,
            metres_per_unit,
            property,
        })
    }

    /// The ground to read: as far as the site says or its layers look, and a word where they look
    /// farther than there is elevation.
    fn reach(&mut self, site: &Site, frame: Rect<f64>, extent: [f64; 4], least: f64) -> Rect<f64> {
        let looks = site.ground.farthest().0;
        let halo = site.halo.map_or(looks.clamp(HALO_M[0], HALO_M[1]), |halo| halo.0);
        let wide = grown(frame, halo.max(least));
        let known = cut_to(wide, extent, grown(frame, least));
        let margin = [
            frame.min().x - known.min().x.max(extent[0]),
            frame.min().y - known.min().y.max(extent[1]),
            known.max().x.min(extent[2]) - frame.max().x,
            known.max().y.min(extent[3]) - frame.max().y,
        ];
        let margin = margin.into_iter().fold(f64::INFINITY, f64::min).max(0.0).round();
        if site.halo.is_none() {
            self.defaults.push(DefaultTaken {
                key: "site.halo_m".to_owned(),
                value: halo.to_string(),
                source: "as far as ground.horizon_m and ground.exposure_m look, where there is \
                         elevation"
                    .to_owned(),
            });
        }
        if margin < looks {
            let widen = match site.halo {
                Some(halo) if halo.0 <= margin => "raise site.halo_m",
                _ => "use an elevation layer that reaches farther",
            };
            self.warnings.push(
                Problem::warning("site.halo_m")
                    .file(&site.file)
                    .found(format!(
                        "ground read {margin} m beyond the boundary on the side where it ends first"
                    ))
                    .expected(format!(
                        "{looks} m, as far as ground.horizon_m and ground.exposure_m look"
                    ))
                    .remedy(format!(
                        "{widen}, or know that land farther away neither shades nor shelters here"
                    )),
            );
        }
        if site.halo.is_some() { wide } else { known }
    }

    /// Tells which months stand in for those that are not given, and questions summer.
    fn check_season(&mut self, site: &Site, latitude_deg: f64) {
        let winter = format!("{:?}", winter_months(latitude_deg));
        let hemisphere = if latitude_deg < 0.0 { "southern" } else { "northern" };
        match &site.zones.sun_months {
            None => self.defaults.push(DefaultTaken {
                key: "zones.sun_months".to_owned(),
                value: winter,
                source: format!("the four months around the {hemisphere} winter solstice"),
            }),
            Some(months) if are_warm(months, latitude_deg) => self.warnings.push(
                Problem::warning("zones.sun_months")
                    .file(&site.file)
                    .found(format!("{months:?}: the warm half of the year at {latitude_deg:.0}°"))
                    .expected("months in which sun is scarce")
                    .remedy(format!(
                        "write {winter}, or take the key out; leave it if summer is meant"
                    )),
            ),
            Some(_) => {}
        }
    }

    /// Questions a projection whose lengths or areas are not the ground's.
    fn check_stretch(&mut self, site: &Site, crs: &Crs, middle: (f64, f64)) {
        let Some(problem) = stretch::doubt(crs, middle, &SITE) else { return };
        let problem = problem.file(&site.file);
        if problem.is_error() {
            self.problems.push(problem);
        } else {
            self.warnings.push(problem);
        }
    }

    fn elevation(
        &mut self,
        site: &Site,
        file: &RasterFile,
        crs: &Crs,
        grid: &Grid,
        property: &[bool],
    ) -> Option<(Raster<f32>, f64)> {
        let read = elevation::read(file, &site.layers.elevation, grid, crs, &SITE);
        let mut read = self.keep(read)?;
        self.warnings.append(&mut read.warnings);
        self.defaults.append(&mut read.defaults);
        self.warnings.extend(old_datum(file, crs));
        let ground = Ground { grid, crs, property };
        let all = property.iter().filter(|inside| **inside).count();
        let known = on_property(&read.raster, &ground).filter(|value| !value.is_nan()).count();
        self.keep(enough(file, &read.raster, &ground, all, known))?;
        let share = known as f64 / all as f64;
        if share < 1.0 {
            self.warnings.push(
                file.remark()
                    .found(format!("no elevation on {} of the property", percent(1.0 - share)))
                    .expected("an elevation everywhere on the property")
                    .remedy("that ground cannot be planned: use a raster that covers it"),
            );
        }
        read.facts.covered_share = Some(share);
        read.facts.range = range_of(on_property(&read.raster, &ground));
        self.facts.push(read.facts);
        Some((read.raster, read.metres_per_unit))
    }

    /// The layers that nobody draws.
    fn layers(&mut self, site: &Site, base: &Base) -> Layers {
        let ground = Ground { grid: &base.grid, crs: &base.crs, property: &base.property };
        let layers = &site.layers;
        Layers {
            slope: self.measure(&measure::SLOPE, layers.slope.as_deref(), &ground),
            aspect: self.measure(&measure::ASPECT, layers.aspect.as_deref(), &ground),
            wetness: self.measure(&measure::WETNESS, layers.wetness.as_deref(), &ground),
            cover: layers.cover.as_ref().and_then(|source| {
                self.category(category::read("cover", source, |one| one.name.clone(), &ground))
            }),
            drainage: layers.drainage.as_ref().and_then(|source| {
                self.category(category::read(
                    "drainage",
                    source,
                    |one| drainage_name(*one),
                    &ground,
                ))
            }),
            erosion_terrain: layers.erosion_terrain.as_ref().and_then(|source| {
                self.category(category::read(
                    "erosion_terrain",
                    source,
                    |one| one.name.clone(),
                    &ground,
                ))
            }),
            streams: layers.streams.as_ref().and_then(|source| self.streams(source, base)),
            tracks: self.tracks(site, base).unwrap_or_default(),
            seed_zones: layers
                .seed_zones
                .as_ref()
                .and_then(|source| self.seed_zones(source, base))
                .unwrap_or_default(),
        }
    }

    fn measure(
        &mut self,
        measure: &Measure,
        path: Option<&Path>,
        ground: &Ground<'_>,
    ) -> Option<Raster<f32>> {
        let mut read = self.keep(measure::read(measure, path?, ground))?;
        self.warnings.append(&mut read.warnings);
        self.facts.push(read.facts);
        Some(read.raster)
    }

    fn category(
        &mut self,
        outcome: Result<category::Category, Vec<Problem>>,
    ) -> Option<Raster<u8>> {
        let mut read = self.keep(outcome)?;
        self.warnings.append(&mut read.warnings);
        self.facts.push(read.facts);
        Some(read.classes)
    }

    fn streams(&mut self, source: &VectorSource, base: &Base) -> Option<Raster<bool>> {
        let mut read = self.keep(streams::read(source, &base.grid, &base.crs))?;
        self.warnings.append(&mut read.warnings);
        self.facts.push(read.facts);
        Some(read.cells)
    }

    fn breaks(&mut self, site: &Site, frame: &Frame<'_>) -> Breaks {
        let mut all = Breaks::default();
        let layers =
            [(Drawn::Breaks, &site.layers.breaks), (Drawn::Zones, &site.layers.drawn_zones)];
        for (drawn, source) in layers {
            let Some(source) = source else { continue };
            let read = breaks::read(drawn, source, frame.crs, frame.reach);
            let Some(mut read) = self.keep(read) else { continue };
            self.warnings.append(&mut read.warnings);
            self.facts.push(read.facts);
            match drawn {
                Drawn::Breaks => (all.lines, all.polygons) = (read.lines, read.polygons),
                Drawn::Zones => all.drawn = read.polygons,
            }
        }
        all
    }

    fn tracks(&mut self, site: &Site, base: &Base) -> Option<Vec<LineString<f64>>> {
        let frame = base.boundary.bounding_rect()?;
        let read = tracks::read(site.layers.tracks.as_ref()?, &base.crs, frame);
        let mut read = self.keep(read)?;
        self.warnings.append(&mut read.warnings);
        self.facts.push(read.facts);
        Some(read.lines)
    }

    fn seed_zones(&mut self, source: &SeedZoneSource, base: &Base) -> Option<SeedZones> {
        let mut read = self.keep(seed_zones::read(source, &base.crs, &base.boundary))?;
        self.warnings.append(&mut read.warnings);
        self.facts.push(read.facts);
        Some(read.zones)
    }

    fn inputs(&mut self, site: &Site) -> Option<Vec<InputRecord>> {
        self.keep(inputs::records(site.folder(), &files_of(site)))
    }

    /// Looks at what can be looked at without a grid.
    fn probe_layers(&mut self, site: &Site) {
        let layers = &site.layers;
        let rasters =
            [("slope", &layers.slope), ("aspect", &layers.aspect), ("wetness", &layers.wetness)];
        for (role, path) in rasters {
            if let Some(path) = path {
                self.probe_raster(role, path);
            }
        }
        if let Some(cover) = &layers.cover {
            self.probe_category("cover", &cover.file, cover.layer.as_ref(), cover.field.as_deref());
        }
        if let Some(soil) = &layers.drainage {
            self.probe_category("drainage", &soil.file, soil.layer.as_ref(), soil.field.as_deref());
        }
        if let Some(one) = &layers.erosion_terrain {
            let field = one.field.as_deref();
            self.probe_category("erosion_terrain", &one.file, one.layer.as_ref(), field);
        }
        let drawn = [
            ("streams", &layers.streams),
            (Drawn::Breaks.role(), &layers.breaks),
            (Drawn::Zones.role(), &layers.drawn_zones),
            (tracks::ROLE, &layers.tracks),
        ];
        for (role, source) in drawn {
            if let Some(source) = source {
                self.probe_vector(role, source, None);
            }
        }
        if let Some(SeedZoneSource { place, field }) = &layers.seed_zones {
            self.probe_vector("seed_zones", place, Some(field.as_str()));
        }
        for rule in &site.keep_clear {
            self.probe_vector(&role_of(rule), &rule.source, rule.width_field.as_deref());
        }
    }

    fn probe_category(
        &mut self,
        role: &str,
        file: &Path,
        layer: Option<&String>,
        field: Option<&str>,
    ) {
        if field.is_none() {
            return self.probe_raster(role, file);
        }
        let source = VectorSource { file: file.to_path_buf(), layer: layer.cloned(), filter: None };
        self.probe_vector(role, &source, field);
    }

    fn probe_raster(&mut self, role: &str, path: &Path) {
        let opened = RasterFile::open(role, path).and_then(|file| file.crs().map(|_| ()));
        self.keep(opened);
    }

    fn probe_vector(&mut self, role: &str, source: &VectorSource, field: Option<&str>) {
        let opened = VectorFile::open(role, source).and_then(|file| {
            file.crs()?;
            file.count()?;
            field.map_or(Ok(()), |field| file.field(field).map(|_| ()))
        });
        self.keep(opened);
    }
}

/// The part of a rectangle that a raster reaches, but never less than `least`.
fn cut_to(wide: Rect<f64>, [west, south, east, north]: [f64; 4], least: Rect<f64>) -> Rect<f64> {
    let (from, to) = (wide.min(), wide.max());
    let (inner_from, inner_to) = (least.min(), least.max());
    Rect::new(
        (from.x.max(west).min(inner_from.x), from.y.max(south).min(inner_from.y)),
        (to.x.min(east).max(inner_to.x), to.y.min(north).max(inner_to.y)),
    )
}

/// Refuses an elevation layer that leaves too much of the property open.
fn enough(
    file: &RasterFile,
    raster: &Raster<f32>,
    ground: &Ground<'_>,
    all: usize,
    known: usize,
) -> Result<(), Problem> {
    if all == 0 {
        let cell = format!("{} × {} m", ground.grid.cell_width(), ground.grid.cell_height());
        return Err(file
            .fault()
            .found(format!("cells of {cell}, none of whose centres is on the property"))
            .expected("cells much smaller than the property")
            .remedy("set `site.cell_m` to a smaller side, or use a finer raster"));
    }
    if known > 0 && known as f64 >= MIN_COVERED * all as f64 {
        return Ok(());
    }
    if raster.cells().iter().all(|cell| cell.is_nan()) {
        return Err(all_holes(file));
    }
    let share = percent(known as f64 / all as f64);
    let problem = apart(file, ground.grid, ground.crs);
    let found = format!("{} with elevations on {share} of the property", problem.found);
    Err(problem.found(found))
}

/// Names of the drainage ladder.
fn drainage_name(class: DrainageClass) -> String {
    match class {
        DrainageClass::VeryPoor => "very poorly drained",
        DrainageClass::Poor => "poorly drained",
        DrainageClass::Imperfect => "imperfectly drained",
        DrainageClass::ModeratelyWell => "moderately well drained",
        DrainageClass::Well => "well drained",
    }
    .to_owned()
}

/// The files of a site that are there, with their sums, without a look at what they hold.
///
/// # Errors
/// When one cannot be read to its end.
pub fn present_inputs(site: &Site) -> Result<Vec<InputRecord>, Vec<Problem>> {
    let mut files = files_of(site);
    files.retain(|(_, file)| file.exists());
    inputs::records(site.folder(), &files)
}

/// Every file of a site with its role; the site and stock files where they exist.
fn files_of(site: &Site) -> Vec<(String, PathBuf)> {
    let layers = &site.layers;
    let mut files: Vec<(String, PathBuf)> = Vec::new();
    let mut add = |role: &str, file: Option<&Path>| {
        files.extend(file.map(|file| (role.to_owned(), file.to_path_buf())));
    };
    add("site", Some(&site.file).filter(|file| file.is_file()).map(PathBuf::as_path));
    add("boundary", Some(&layers.boundary.file));
    add("elevation", Some(&layers.elevation.file));
    add("cover", layers.cover.as_ref().map(|one| one.file.as_path()));
    add("drainage", layers.drainage.as_ref().map(|one| one.file.as_path()));
    add("erosion_terrain", layers.erosion_terrain.as_ref().map(|one| one.file.as_path()));
    add("slope", layers.slope.as_deref());
    add("aspect", layers.aspect.as_deref());
    add("wetness", layers.wetness.as_deref());
    add("streams", layers.streams.as_ref().map(|one| one.file.as_path()));
    add("breaks", layers.breaks.as_ref().map(|one| one.file.as_path()));
    add("drawn_zones", layers.drawn_zones.as_ref().map(|one| one.file.as_path()));
    add(tracks::ROLE, layers.tracks.as_ref().map(|one| one.file.as_path()));
    add("seed_zones", layers.seed_zones.as_ref().map(|one| one.place.file.as_path()));
    add("climate", layers.climate.as_ref().map(|one| one.file.as_path()));
    for rule in &site.keep_clear {
        add(&role_of(rule), Some(&rule.source.file));
    }
    add("stock", Some(&site.stock).filter(|file| file.is_file()).map(PathBuf::as_path));
    let overrides = site.mosaic.overrides.as_deref();
    add("overrides", overrides.filter(|file| file.is_file()));
    files
}
