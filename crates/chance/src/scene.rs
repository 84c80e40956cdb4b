//! A plan in plain numbers.

use cover::{AgeCurve, Pattern, Planting};

/// A plan in plain numbers.
#[derive(Debug, Clone)]
pub struct Scene {
    /// Zones.
    pub zones: Vec<Zone>,
    /// Lines of stock.
    pub lines: Vec<Line>,
    /// Whether spacing is measured along the slope, so that a steeper zone takes more plants.
    pub on_ground: bool,
    /// Planting winters, years after the first; each may be lost.
    pub winters: usize,
    /// Hours in which bees fly on each day of the year, averaged over the days around it; empty where no
    /// weather is known.
    pub flying_h: Vec<f64>,
    /// Flying hours from which a day is one with flying weather.
    pub day_hours: f64,
    /// Radius of a crown by age, metres.
    pub crown_radius_m: AgeCurve,
    /// How plants stand.
    pub pattern: Pattern,
    /// Least share of ground covered where it may slip.
    pub target: f64,
    /// Years after the first planting by which it must be.
    pub by_years: i32,
    /// Share of the planted ground that may slip from which the plan counts as covered.
    pub enough: f64,
}

/// A line of stock.
#[derive(Debug, Clone)]
pub struct Line {
    /// Mean ratio of DHA to sugars beside that of the richest line; 0 where it is not known.
    pub richness: f64,
    /// Standard error of that mean, as a share of it.
    pub richness_error: f64,
    /// Plants that can be had; `None`: not limited.
    pub supply: Option<f64>,
    /// First day of bloom at the height of its ground, day of the year from 0, and days of bloom; `None`
    /// where they are not known.
    pub bloom: Option<(f64, u16)>,
}

/// A zone.
#[derive(Debug, Clone)]
pub struct Zone {
    /// Map area, hectares.
    pub area_ha: f64,
    /// Mean slope, degrees.
    pub slope_deg: f64,
    /// What each line offers, by line; `None`: nothing.
    pub offers: Vec<Option<Offer>>,
    /// What is planted.
    pub blocks: Vec<Block>,
    /// Its ground that may slip.
    pub risk: Option<Risk>,
}

/// What a line offers all of a zone.
#[derive(Debug, Clone, Copy)]
pub struct Offer {
    /// Worth of a map hectare.
    pub worth_per_ha: f64,
    /// How much of that one unit of richness makes.
    pub by_richness_per_ha: f64,
    /// Plants to order for all of the zone.
    pub order: f64,
}

/// Plants of one line and winter.
#[derive(Debug, Clone, Copy)]
pub struct Block {
    /// Position of the line.
    pub line: usize,
    /// Position of the winter.
    pub winter: usize,
    /// Plants in the ground.
    pub seedlings: f64,
    /// Plants ordered.
    pub ordered: f64,
    /// Share of them expected to live.
    pub alive: f64,
    /// Map hectares.
    pub area_ha: f64,
}

/// Ground of a zone that may slip.
#[derive(Debug, Clone)]
pub struct Risk {
    /// Map area, hectares.
    pub area_ha: f64,
    /// Share of it that stays covered when it is planted.
    pub stays: f64,
    /// Share of it that is open to planting.
    pub gaps: f64,
    /// Share of the usual radius that plants reach there.
    pub grown: f64,
    /// What is planted on a map hectare of its open ground; the year is that of the winter.
    pub plantings: Vec<Planting>,
    /// The line of each planting.
    pub lines: Vec<usize>,
}
