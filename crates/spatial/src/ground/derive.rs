//! From elevation to the layers of the ground, each made when it is first asked for.

use std::collections::BTreeSet;
use std::sync::Arc;

use geo::MultiPolygon;
use terrain::{
    BreachLimits, Breached, ExposureSettings, LsForm, Raster, RillRatio, SKY_DIRECTIONS, Shadows,
    SunSettings, WindRose, smooth,
};

use super::made::Made;
use super::{AtHand, Besides, GroundLayer, sun_months};
use crate::fit::percent;
use crate::problem::Problem;
use crate::read::Climate;
use crate::site::{GroundRules, Hollows};
use crate::units::Metres;
use crate::zones::runs_mostly_in;

/// What the layers are derived from, and how.
#[derive(Debug, Clone, Copy)]
pub struct Footing<'a> {
    /// Elevation, metres.
    pub elevation_m: &'a Raster<f32>,
    /// The ground that counts when the reader is told how much of it has a hole; `None`: all.
    pub property: Option<&'a MultiPolygon<f64>>,
    /// How layers are derived.
    pub rules: &'a GroundRules,
    /// Working scale of slope, aspect and curvature; 0: raw cells.
    pub scale: Metres,
    /// Latitude, degrees, north positive; `None`: sunlight cannot be had.
    pub latitude_deg: Option<f64>,
    /// Months over which sun is counted; `None`: those of winter.
    pub sun_months: Option<&'a [u8]>,
    /// Cells that a mapped stream touches; `None`: drainage lines are derived.
    pub streams: Option<&'a Raster<bool>>,
    /// Station normals; `None`: temperature cannot be had.
    pub climate: Option<&'a Climate>,
}

/// Layers of one piece of ground, made on demand and kept until they are taken.
///
/// Cost: a layer is made once, with those that it needs. All of them together hold a raster each;
/// [`Derivation::forget`] lets go of one.
#[derive(Debug)]
pub struct Derivation<'a> {
    footing: Footing<'a>,
    made: Made,
    /// What was made before and would be made alike; `None` where nothing is kept for another time.
    before: Option<Made>,
}

impl<'a> Derivation<'a> {
    /// Begins with nothing made.
    #[must_use]
    pub fn new(footing: Footing<'a>) -> Self {
        Self { footing, made: Made::default(), before: None }
    }

    /// Puts a layer in the place of the derived one.
    pub fn give(&mut self, layer: GroundLayer, raster: impl Into<Arc<Raster<f32>>>) {
        self.made.layers.insert(layer, raster.into());
    }

    /// From now on takes over what was made before, when it is asked for, and keeps shadows.
    pub(super) fn make_again(&mut self, before: Made) {
        let given: Vec<GroundLayer> = self.made.layers.keys().copied().collect();
        self.made.shadows.clone_from(&before.shadows);
        self.before = Some(before);
        // Those that are given were given before too, and stand there as they were widened.
        for layer in given {
            self.take_over(layer);
        }
    }

    /// Whether a layer is one that was made before.
    pub(super) fn was_made(&self, layer: GroundLayer) -> bool {
        self.before.as_ref().is_some_and(|before| before.layers.contains_key(&layer))
    }

    /// Takes over a layer with what was told of it, where it was made before.
    fn take_over(&mut self, layer: GroundLayer) -> bool {
        let Some(before) = &self.before else { return false };
        let Some(raster) = before.layers.get(&layer) else { return false };
        self.made.layers.insert(layer, Arc::clone(raster));
        self.made.notes.extend(before.notes.get(&layer).map(|notes| (layer, notes.clone())));
        true
    }

    /// Lets go of a layer; it would be made again if it were asked for.
    pub fn forget(&mut self, layer: GroundLayer) {
        self.made.layers.remove(&layer);
    }

    /// What the reader should know about the layers made so far, in the order of the layers.
    pub fn notes(&self) -> impl Iterator<Item = &Problem> {
        self.made.notes.values().flatten()
    }

    /// What the layers are derived from.
    #[must_use]
    pub fn footing(&self) -> &Footing<'a> {
        &self.footing
    }

    /// A layer, made if need be.
    ///
    /// # Errors
    /// When it cannot be had (see [`AtHand::lack`]), or layers that were given lie elsewhere.
    pub fn layer(&mut self, layer: GroundLayer) -> Result<&Arc<Raster<f32>>, Problem> {
        self.make(layer)?;
        self.of(layer)
    }

    /// A layer, made if need be and handed over.
    ///
    /// # Errors
    /// As [`Derivation::layer`].
    pub fn take(&mut self, layer: GroundLayer) -> Result<Arc<Raster<f32>>, Problem> {
        self.make(layer)?;
        self.made.layers.remove(&layer).ok_or_else(|| absent(layer))
    }

    /// All that was made.
    pub(super) fn into_made(self) -> Made {
        self.made
    }

    fn make(&mut self, layer: GroundLayer) -> Result<(), Problem> {
        if self.made.layers.contains_key(&layer) {
            return Ok(());
        }
        for needed in needs(layer) {
            self.make(*needed)?;
        }
        if self.take_over(layer) {
            return Ok(());
        }
        let footing = self.footing;
        match layer {
            GroundLayer::Slope | GroundLayer::Aspect => self.slope_and_aspect(),
            GroundLayer::ProfileCurvature | GroundLayer::PlanCurvature => self.curvatures(),
            GroundLayer::Filled => self.fill(),
            GroundLayer::FlowArea => {
                let area = terrain::flow_area_m2(self.of(GroundLayer::Filled)?, footing.rules.flow);
                self.give(layer, area);
            }
            GroundLayer::WetnessIndex => {
                let (area, slope) = (self.of(GroundLayer::FlowArea)?, self.of(GroundLayer::Slope)?);
                let index = terrain::wetness_index(area, slope, footing.rules.gentlest_slope_deg);
                self.keep(layer, index)?;
            }
            GroundLayer::SunRatio => self.sunlight()?,
            GroundLayer::Exposure => {
                let settings = footing.exposed_to(WindRose::EVEN);
                let sum = terrain::exposure_deg(footing.elevation_m, &settings);
                self.keep(layer, sum)?;
            }
            GroundLayer::WindExposure => {
                let shares = footing.rules.wind_rose.ok_or_else(|| absent(layer))?;
                let rose = WindRose::new(shares).map_err(|error| unmade(layer, &error))?;
                let settings = footing.exposed_to(rose);
                let sum = terrain::exposure_deg(footing.elevation_m, &settings);
                self.keep(layer, sum)?;
            }
            GroundLayer::SkyView => {
                let distance = footing.rules.horizon.0;
                let share = terrain::sky_view_share(footing.elevation_m, distance, SKY_DIRECTIONS);
                self.keep(layer, share)?;
            }
            GroundLayer::HeightAboveDrainage => self.height_above_drainage()?,
            GroundLayer::FrostIndex => {
                let height = self.of(GroundLayer::HeightAboveDrainage)?;
                let sky = self.of(GroundLayer::SkyView)?;
                let index = terrain::frost_index(height, sky, footing.rules.frost_height.0);
                self.keep(layer, index)?;
            }
            GroundLayer::AnnualMean | GroundLayer::ColdestMonthMin => self.temperature(layer)?,
            GroundLayer::LsFactor => {
                let flow = self.of(GroundLayer::FlowArea)?;
                let (slope, aspect) = (self.of(GroundLayer::Slope)?, self.of(GroundLayer::Aspect)?);
                let longest = Some(footing.rules.ls_longest.0);
                let factor = terrain::ls_factor(flow, slope, aspect, footing.ls_form(), longest);
                self.keep(layer, factor)?;
            }
        }
        Ok(())
    }

    /// Direct sun of a month's mean day, MJ/m² of slope a day.
    ///
    /// # Errors
    /// When there is no latitude, or layers that were given lie elsewhere.
    pub fn sun_of_month(&mut self, month: u8) -> Result<Raster<f32>, Problem> {
        self.make(GroundLayer::Slope)?;
        self.make(GroundLayer::Aspect)?;
        let Some(settings) = self.footing.sun() else { return Err(absent(GroundLayer::SunRatio)) };
        let (slope, aspect) = (self.of(GroundLayer::Slope)?, self.of(GroundLayer::Aspect)?);
        let elevation = self.footing.elevation_m;
        terrain::sun_mj_m2_day(elevation, slope, aspect, &settings, month)
            .map_err(|error| unmade(GroundLayer::SunRatio, &error))
    }

    /// Mean temperature of a month, 1 to 12, °C.
    ///
    /// # Errors
    /// Without a climate table.
    pub fn mean_of_month(&self, month: u8) -> Result<Raster<f32>, Problem> {
        let climate = self.footing.climate.ok_or_else(|| absent(GroundLayer::AnnualMean))?;
        climate
            .normals()
            .and_then(|normals| normals.month_mean_c(self.footing.elevation_m, month))
            .map_err(|error| unmade(GroundLayer::AnnualMean, &error))
    }

    /// Mean daily minimum of a month, 1 to 12, °C.
    ///
    /// # Errors
    /// Without a climate table.
    pub fn minimum_of_month(&self, month: u8) -> Result<Raster<f32>, Problem> {
        let climate = self.footing.climate.ok_or_else(|| absent(GroundLayer::ColdestMonthMin))?;
        climate
            .normals()
            .and_then(|normals| normals.month_minimum_c(self.footing.elevation_m, month))
            .map_err(|error| unmade(GroundLayer::ColdestMonthMin, &error))
    }

    /// The drainage lines that the ground itself draws.
    ///
    /// # Errors
    /// When the setting cannot be used.
    pub fn drainage_lines(&mut self) -> Result<Vec<terrain::StreamLine>, Problem> {
        let from_m2 = self.footing.rules.stream_from_m2;
        let filled = self.layer(GroundLayer::Filled)?;
        let lines = terrain::stream_lines(filled, from_m2).map_err(|error| {
            let problem = Problem::error("ground.stream_from_ha").found(error.to_string());
            problem.expected("an area of some cells").remedy("set `ground.stream_from_ha`")
        })?;
        let note = if lines.is_empty() { no_streams(from_m2) } else { derived_streams(from_m2) };
        self.note(GroundLayer::HeightAboveDrainage, note);
        Ok(lines)
    }

    /// Tells the reader something about a layer, once.
    pub(super) fn note(&mut self, layer: GroundLayer, problem: Problem) {
        let notes = self.made.notes.entry(layer).or_default();
        if !notes.contains(&problem) {
            notes.push(problem);
        }
    }

    /// A layer that has been made.
    fn of(&self, layer: GroundLayer) -> Result<&Arc<Raster<f32>>, Problem> {
        self.made.layers.get(&layer).ok_or_else(|| absent(layer))
    }

    fn keep<E: std::error::Error>(
        &mut self,
        layer: GroundLayer,
        made: Result<Raster<f32>, E>,
    ) -> Result<(), Problem> {
        let made = made.map_err(|error| unmade(layer, &error))?;
        self.give(layer, made);
        Ok(())
    }

    /// A layer that was given stays as it is.
    fn give_unless_given(&mut self, layer: GroundLayer, raster: Raster<f32>) {
        self.made.layers.entry(layer).or_insert_with(|| raster.into());
    }

    fn slope_and_aspect(&mut self) {
        let made = match self.footing.smoothed() {
            Some(smooth) => terrain::slope_aspect(&smooth, self.footing.rules.slope_formula),
            None => {
                terrain::slope_aspect(self.footing.elevation_m, self.footing.rules.slope_formula)
            }
        };
        self.give_unless_given(GroundLayer::Slope, made.slope_deg);
        self.give_unless_given(GroundLayer::Aspect, made.aspect_deg);
    }

    fn curvatures(&mut self) {
        let smooth = self.footing.smoothed();
        let made = terrain::curvature(smooth.as_ref().unwrap_or(self.footing.elevation_m));
        self.give_unless_given(GroundLayer::ProfileCurvature, made.profile_per_m);
        self.give_unless_given(GroundLayer::PlanCurvature, made.plan_per_m);
    }

    fn fill(&mut self) {
        let elevation = self.footing.elevation_m;
        let filled = match self.footing.rules.hollows {
            Hollows::Fill => terrain::fill_hollows(elevation),
            Hollows::Breach { longest, deepest } => {
                let limits = BreachLimits { longest_m: longest.0, deepest_m: deepest.0 as f32 };
                let breached = terrain::breach_hollows(elevation, &limits);
                if let Some(note) = filled_after_all(&breached, &limits) {
                    self.note(GroundLayer::Filled, note);
                }
                terrain::fill_hollows_in_place(breached.elevation_m)
            }
        };
        self.give(GroundLayer::Filled, filled);
    }

    fn sunlight(&mut self) -> Result<(), Problem> {
        let layer = GroundLayer::SunRatio;
        let Some(settings) = self.footing.sun() else { return Err(absent(layer)) };
        let elevation = self.footing.elevation_m;
        if self.before.is_some() && self.made.shadows.is_none() {
            let shadows = Shadows::of(elevation, &settings);
            self.made.shadows = Some(Arc::new(shadows.map_err(|error| unmade(layer, &error))?));
        }
        let (slope, aspect) = (self.of(GroundLayer::Slope)?, self.of(GroundLayer::Aspect)?);
        let ratio = match &self.made.shadows {
            Some(shadows) => shadows.sun_ratio(slope, aspect),
            None => terrain::shaded_sun_ratio(elevation, slope, aspect, &settings),
        };
        self.keep(layer, ratio)
    }

    fn height_above_drainage(&mut self) -> Result<(), Problem> {
        let layer = GroundLayer::HeightAboveDrainage;
        let filled = self.of(GroundLayer::Filled)?;
        let derived;
        let streams = if let Some(mapped) = self.footing.streams {
            mapped
        } else {
            let area = terrain::flow_area_m2(filled, terrain::Routing::SteepestDescent);
            derived = terrain::stream_cells(&area, self.footing.rules.stream_from_m2)
                .map_err(|error| unmade(layer, &error))?;
            &derived
        };
        let made = terrain::height_above_drainage(filled, streams)
            .map_err(|error| unmade(layer, &error))?;
        let from_m2 = self.footing.rules.stream_from_m2;
        let source = match self.footing.streams {
            Some(_) => None,
            None if streams.cells().contains(&true) => Some(derived_streams(from_m2)),
            None => Some(no_streams(from_m2)),
        };
        let share = self.footing.share_lost(filled, &made.height_m);
        if let Some(note) = source {
            self.note(layer, note);
        }
        if share > 0.0 {
            self.note(layer, without_stream(share, self.footing.property.is_some()));
        }
        self.give(layer, made.height_m);
        Ok(())
    }

    fn temperature(&mut self, layer: GroundLayer) -> Result<(), Problem> {
        let Some(climate) = self.footing.climate else { return Err(absent(layer)) };
        let normals = climate.normals().map_err(|error| unmade(layer, &error))?;
        let elevation = self.footing.elevation_m;
        let made = match layer {
            GroundLayer::AnnualMean => normals.annual_mean_c(elevation),
            _ => normals.coldest_month_minimum_c(elevation),
        };
        self.give(layer, made);
        Ok(())
    }
}

impl Footing<'_> {
    /// What there is besides elevation.
    #[must_use]
    pub fn at_hand(&self) -> AtHand {
        AtHand {
            climate: self.climate.is_some(),
            wind_rose: self.rules.wind_rose.is_some(),
            latitude: self.latitude_deg.is_some(),
        }
    }

    /// Share of the ground that counts and is known where a layer has a hole.
    fn share_lost(&self, known: &Raster<f32>, layer: &Raster<f32>) -> f64 {
        let runs: Vec<_> = match self.property {
            Some(shape) => runs_mostly_in(shape, known.grid()).collect(),
            None => std::iter::once(0..known.grid().len()).collect(),
        };
        let mut counts = [0_usize; 2];
        for at in runs.into_iter().flatten().filter(|at| !known.cells()[*at].is_nan()) {
            counts[usize::from(layer.cells()[at].is_nan())] += 1;
        }
        counts[1] as f64 / (counts[0] + counts[1]).max(1) as f64
    }

    /// Elevation at the working scale; `None` where that is the raw ground.
    fn smoothed(&self) -> Option<Raster<f32>> {
        (self.scale.0 > 0.0).then(|| smooth(self.elevation_m, self.scale.0, self.rules.smoothing))
    }

    fn sun(&self) -> Option<SunSettings> {
        Some(SunSettings {
            months: sun_months(self.sun_months, self.latitude_deg),
            shade_within_m: Some(self.rules.horizon.0),
            ..SunSettings::new(self.latitude_deg?)
        })
    }

    fn exposed_to(&self, wind: WindRose) -> ExposureSettings {
        let Metres(distance_m) = self.rules.exposure;
        ExposureSettings { distance_m, signed: self.rules.exposure_signed, wind }
    }

    fn ls_form(&self) -> LsForm {
        if self.rules.ls_by_stream_power {
            LsForm::StreamPower
        } else {
            LsForm::ContributingArea { rills: RillRatio::Moderate }
        }
    }
}

/// Every layer that some layers are made from, themselves included.
pub(crate) fn made_from(layers: impl IntoIterator<Item = GroundLayer>) -> BTreeSet<GroundLayer> {
    let mut all = BTreeSet::new();
    let mut open: Vec<GroundLayer> = layers.into_iter().collect();
    while let Some(layer) = open.pop() {
        if all.insert(layer) {
            open.extend(needs(layer));
        }
    }
    all
}

/// The layers from which one is made, besides elevation.
pub(super) fn needs(layer: GroundLayer) -> &'static [GroundLayer] {
    match layer {
        GroundLayer::FlowArea | GroundLayer::HeightAboveDrainage => &[GroundLayer::Filled],
        GroundLayer::WetnessIndex => &[GroundLayer::FlowArea, GroundLayer::Slope],
        GroundLayer::SunRatio => &[GroundLayer::Slope, GroundLayer::Aspect],
        GroundLayer::FrostIndex => &[GroundLayer::HeightAboveDrainage, GroundLayer::SkyView],
        GroundLayer::LsFactor => &[GroundLayer::FlowArea, GroundLayer::Slope, GroundLayer::Aspect],
        _ => &[],
    }
}

/// Says how many hollows could not be breached.
fn filled_after_all(breached: &Breached, limits: &BreachLimits) -> Option<Problem> {
    let Breached { cells_cut, hollows_breached, hollows_left, .. } = *breached;
    (hollows_left > 0).then(|| {
        Problem::warning("hollows")
            .found(format!(
                "{hollows_left} of {} hollows have no way out of at most {} m that cuts at most \
                 {} m deep: they were filled; {cells_cut} cells were cut for the others",
                hollows_breached + hollows_left,
                limits.longest_m,
                limits.deepest_m
            ))
            .expected("every hollow breached")
            .remedy(
                "raise ground.breach_longest_m or breach_deepest_m where culverts are longer or \
                 banks higher; a hollow that is there on the ground is rightly filled",
            )
    })
}

/// Says that drainage lines are the program's own.
fn derived_streams(from_m2: f64) -> Problem {
    Problem::warning("drainage lines")
        .found(format!(
            "no stream layer: lines were derived where {} ha or more drain through a cell",
            from_m2 / crate::units::M2_PER_HA
        ))
        .expected("mapped streams and drains")
        .remedy("name them in [layers.streams], or check the lines and set ground.stream_from_ha")
}

/// Says that the ground draws no drainage line.
fn no_streams(from_m2: f64) -> Problem {
    Problem::warning("drainage lines")
        .found(format!(
            "no stream layer, and nowhere do {} ha drain through a cell: no drainage line was \
             derived",
            from_m2 / crate::units::M2_PER_HA
        ))
        .expected("mapped streams and drains, or ground that reaches down to one")
        .remedy("name them in [layers.streams], read more ground, or lower ground.stream_from_ha")
}

/// Says how much ground lies above no stream that is known.
fn without_stream(share: f64, of_property: bool) -> Problem {
    let ground = if of_property { "the property" } else { "the ground" };
    Problem::warning(GroundLayer::HeightAboveDrainage.name())
        .found(format!(
            "water from {} of {ground} leaves what was read before it meets a drainage line: \
             height above drainage, frost index and frost class are holes there",
            percent(share)
        ))
        .expected("ground that reaches down to the streams it drains to")
        .remedy(
            "use elevation that reaches farther down and a wider site.halo_m, or name the streams \
             in [layers.streams]; what is not known there bounds no frost class and limits no stock",
        )
}

/// Says that a layer cannot be had.
fn absent(layer: GroundLayer) -> Problem {
    let needed = match Besides::of(layer) {
        Some(Besides::Climate) => "a climate table: [layers.climate]",
        Some(Besides::WindRose) => "a wind rose: ground.wind_rose",
        Some(Besides::Latitude) => "a latitude: a site, or a system that leads to degrees",
        None => {
            return Problem::error(layer.name())
                .found("a layer that another is made from, and that was not made first")
                .expected("layers made in order")
                .remedy("this is a fault of the program: please report it");
        }
    };
    Problem::error(layer.name())
        .found("nothing to derive it from")
        .expected(needed)
        .remedy("add it, or leave the layer out")
}

/// A setting that the layer's method refuses.
fn unmade(layer: GroundLayer, error: &dyn std::error::Error) -> Problem {
    Problem::error(layer.name())
        .found(error.to_string())
        .expected("settings and layers that can be used together")
        .remedy("mend the setting in [ground] or [zones]; layers that differ are a fault of the program: please report it")
}
