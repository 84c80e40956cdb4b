//! An elevation raster alone: what is protected today, where it may slip.

use std::path::Path;

use cover::Pattern;
use terrain::Raster;

use super::judge::{Held, Owner, What};
use super::kinds::Footing;
use super::planted::Planted;
use super::rows::PlantedBy;
use super::verdict::{About, checked};
use super::{COVER, CheckedCover, CoverAsked, CoverGround};
use crate::checks::BriefCaution;
use crate::ground::{Derivation, Footing as GroundFooting, GroundLayer};
use crate::pipeline::Stage;
use crate::problem::Problem;
use crate::read::{self, ElevationLayer, ElevationOptions, records};
use crate::site::{CoverClass, CoverRules, GroundRules, SlopeEdges, Treatment, ZoneRules};
use crate::units::Metres;
use crate::zones::CellShares;

/// Steps in which the share of a raster is told: one in a hundred.
const SHARE_STEPS: u8 = 100;

/// Cover of an elevation raster alone: what is protected today, where it may slip.
pub(super) fn of_elevation(
    asked: &CoverAsked<'_>,
    (file, options): (&Path, &ElevationOptions),
    protected: Option<&Path>,
    enter: &mut dyn FnMut(&'static str),
) -> Result<CheckedCover, Vec<Problem>> {
    enter(Stage::Read.name());
    let layer = read::read_elevation(file, options)?;
    let ElevationLayer { elevation, crs, defaults, mut warnings, .. } = layer;
    let protected =
        protected.map(|file| read::read_share(file, elevation.grid(), &crs)).transpose()?;
    let protected = protected.map(|(share, doubts)| {
        warnings.extend(doubts);
        share
    });
    enter(Stage::Ground.name());
    let rules = asked.rules(&CoverRules::usual());
    let mut zone_rules = ZoneRules::usual();
    zone_rules.slope_scale = Metres(0.0);
    let ground_rules = GroundRules::usual();
    let mut derivation = Derivation::new(GroundFooting {
        elevation_m: &elevation,
        property: None,
        rules: &ground_rules,
        scale: zone_rules.slope_scale,
        latitude_deg: None,
        sun_months: None,
        streams: None,
        climate: None,
    });
    let slope = derivation.layer(GroundLayer::Slope)?.clone();
    let ls = derivation.take(GroundLayer::LsFactor)?;
    warnings.extend(derivation.notes().cloned());
    enter(COVER);
    let grid = *slope.grid();
    let covers: Vec<CoverClass> = (0..=SHARE_STEPS).map(covered_class).collect();
    let codes = protected.map(|share| share_codes(&share));
    let everything = CellShares::whole(&grid);
    let owners = vec![Owner { id: None, what: What::All, cells: &everything }];
    let owner_at = vec![1_u32; slope.cells().len()];
    let footing = Footing {
        slope_deg: &slope,
        cover: codes.as_ref(),
        terrain: None,
        ls: Some(&ls),
        seeded: None,
        covers: &covers,
        terrains: &[],
        slope_edges: SlopeEdges::UpperBound,
        steep_from_deg: rules.slips_above_deg,
        pattern: Pattern::Random,
        rules: &rules,
    };
    let planted = Planted::default();
    let judged =
        Held { footing, owners, owner_at: &owner_at, planted, plan: None, wait: 0.0 }.judge()?;
    let folder = file.parent().unwrap_or(Path::new(""));
    let mut files = vec![("elevation".to_owned(), file.to_path_buf())];
    if let CoverGround::Elevation(_, _, Some(protected)) = &asked.ground {
        files.push(("protected".to_owned(), protected.to_path_buf()));
    }
    let mut all_defaults = rules.defaults.clone();
    all_defaults.extend(defaults);
    let about = About {
        folder,
        name: file.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        inputs: records(folder, &files)?,
        defaults: all_defaults,
        by: PlantedBy::Nothing,
        pattern: Pattern::Random,
        first: None,
        boundary: geo::MultiPolygon::new(Vec::new()),
        cautions: vec![BriefCaution::new(
            "what is not known",
            "a raster alone knows no power lines, recorded sites, waters, buildings or boundaries: nothing may be \
             planted, set or dug by it before they are",
        )],
    };
    Ok(checked(judged, about, &rules, crs, warnings))
}

/// Ground of which so many hundredths are protected.
fn covered_class(hundredths: u8) -> CoverClass {
    CoverClass {
        name: format!("{hundredths} % protected"),
        treatment: Treatment::Keep,
        gap_share: 0.0,
        survival: None,
        landform: None,
        protects: Some(f64::from(hundredths) / f64::from(SHARE_STEPS)),
    }
}

/// Shares as positions of their classes plus 1; holes are unknown.
fn share_codes(share: &Raster<f32>) -> Raster<u8> {
    share.map(|share| {
        // Down, never up to a target; the last digit of a single-precision number is no step.
        let steps = share * f32::from(SHARE_STEPS) + 1e-4;
        if share.is_nan() { 0 } else { steps.floor() as u8 + 1 }
    })
}
