//! Every layer from elevation held in memory, one after another.

use std::path::Path;

use terrain::Raster;

use super::classes::class_raster;
use super::left_out::{self, Place};
use super::lines::lines_geojson;
use super::output::{GroundClass, LandformOutput, Monthly};
use super::record::{Facts, Record, given};
use super::{Request, Rules, Surveyed};
use crate::ground::{
    Derivation, Footing, GroundLayer, derivation_of, drainage_ladder, made_from, quantiles,
    sun_months, sun_rises, wetness_edges,
};
use crate::problem::Problem;
use crate::read::{Crs, ElevationLayer, ElevationOptions, Ready};
use crate::site::{DefaultTaken, Layers, Site, WetnessEdges, ZoneRules};
use crate::write::{StagedFolder, write_raster};

/// From the wetness index to where its classes begin.
type Edges<'a> = dyn Fn(&Raster<f32>) -> Result<[f64; 2], Problem> + 'a;

/// Where the layers of one run come from and go to.
struct Run<'a> {
    site: Option<&'a Site>,
    elevation: &'a Path,
    metres_per_unit: f64,
    nodata: Option<f64>,
    crs: &'a Crs,
    zones: &'a ZoneRules,
    drainage: Option<Raster<u8>>,
    /// Works out quantiles over the ground that counts.
    wetness_edges: &'a Edges<'a>,
    defaults: Vec<DefaultTaken>,
    warnings: Vec<Problem>,
}

/// The layers of a site.
pub(super) fn of_site(
    request: &Request<'_>,
    ready: &Ready,
    site: &Site,
    folder: StagedFolder,
) -> Result<Surveyed, Vec<Problem>> {
    let edges = |wetness: &Raster<f32>| wetness_edges(ready, site, wetness);
    let run = Run {
        site: Some(site),
        elevation: &site.layers.elevation.file,
        metres_per_unit: ready.metres_per_unit,
        nodata: site.layers.elevation.nodata,
        crs: &ready.crs,
        zones: &site.zones,
        drainage: ready.drainage.as_ref().map(|codes| drainage_ladder(codes, site)),
        wetness_edges: &edges,
        defaults: ready.defaults.clone(),
        warnings: ready.warnings.clone(),
    };
    run.all(request, derivation_of(ready, site), folder)
}

/// The layers of an elevation raster.
pub(super) fn of_elevation(
    request: &Request<'_>,
    rules: &Rules,
    (file, options): (&Path, &ElevationOptions),
    layer: ElevationLayer,
    folder: StagedFolder,
) -> Result<Surveyed, Vec<Problem>> {
    let ElevationLayer { elevation, crs, metres_per_unit, defaults, warnings, .. } = layer;
    let edges = |wetness: &Raster<f32>| match rules.zones.wetness_edges {
        WetnessEdges::Fixed(edges) => Ok(edges),
        WetnessEdges::Quantiles(shares) => quantiles(wetness, None, shares),
    };
    let run = Run {
        site: None,
        elevation: file,
        metres_per_unit,
        nodata: options.nodata,
        crs: &crs,
        zones: &rules.zones,
        drainage: None,
        wetness_edges: &edges,
        defaults,
        warnings,
    };
    let derivation = Derivation::new(Footing {
        elevation_m: &elevation,
        property: None,
        rules: &rules.ground,
        scale: rules.zones.slope_scale,
        latitude_deg: crs.latitude_of(elevation.grid()),
        sun_months: rules.zones.sun_months.as_deref(),
        streams: None,
        climate: None,
    });
    run.all(request, derivation, folder)
}

impl Run<'_> {
    fn all(
        mut self,
        request: &Request<'_>,
        mut derivation: Derivation<'_>,
        folder: StagedFolder,
    ) -> Result<Surveyed, Vec<Problem>> {
        let footing = *derivation.footing();
        let mapped_streams = footing.streams.is_some();
        let sun_rises = sun_rises(footing.sun_months, footing.latitude_deg);
        let place = Place { mapped_streams, sun_rises };
        let lack = |output| left_out::lack(output, footing.at_hand(), place);
        let (outputs, left_out) = request.wanted.sort(lack)?;
        let mut edges = None;
        for (place, output) in outputs.iter().enumerate() {
            self.one(*output, &mut derivation, &mut edges, &folder)?;
            let later = made_from(outputs[place + 1..].iter().flat_map(|one| sources(*one)));
            for layer in GroundLayer::ALL.into_iter().filter(|layer| !later.contains(layer)) {
                derivation.forget(layer);
            }
        }
        let grid = *footing.elevation_m.grid();
        Record::new(&Facts {
            site: self.site,
            elevation: self.elevation,
            metres_per_unit: self.metres_per_unit,
            nodata: self.nodata,
            crs: self.crs,
            latitude_deg: footing.latitude_deg,
            grid: &grid,
            ground: footing.rules,
            zones: self.zones,
            sun_months: sun_months(footing.sun_months, footing.latitude_deg),
            wetness_edges: edges,
            outputs: &outputs,
        })
        .write(&folder)?;
        if let Some(site) = self.site {
            self.warnings.extend(without_effect(request, &site.layers, &outputs));
        }
        self.warnings.extend(derivation.notes().cloned());
        Ok(Surveyed {
            grid,
            crs: self.crs.clone(),
            scale: footing.scale,
            written: folder.commit()?,
            left_out,
            defaults: self.defaults,
            warnings: self.warnings,
        })
    }

    /// Derives and writes one output.
    fn one(
        &self,
        output: LandformOutput,
        derivation: &mut Derivation<'_>,
        edges: &mut Option<[f64; 2]>,
        folder: &StagedFolder,
    ) -> Result<(), Problem> {
        let crs = self.crs.definition();
        let (meaning, unit) = (output.meaning(), output.unit());
        let file = output.file();
        match output {
            LandformOutput::Measure(layer) => {
                let raster = derivation.layer(layer)?;
                folder.make(&file, |path| write_raster(path, raster, &crs, &meaning, unit))
            }
            LandformOutput::Class(class) => {
                let layer = derivation.layer(class.of())?;
                let mut wetness = [0.0; 2];
                if class == GroundClass::Wetness {
                    wetness = (self.wetness_edges)(layer)?;
                    *edges = Some(wetness);
                }
                let drainage = self.drainage.as_ref();
                let raster = class_raster(class, layer, self.zones, wetness, drainage);
                folder.make(&file, |path| write_raster(path, &raster, &crs, &meaning, unit))
            }
            LandformOutput::Monthly(monthly) => {
                for month in 1..=12 {
                    let raster = month_of(monthly, month, derivation)?;
                    folder.make(&monthly.file(month), |path| {
                        write_raster(path, &raster, &crs, &meaning, unit)
                    })?;
                }
                Ok(())
            }
            LandformOutput::DrainageLines => {
                let lines = derivation.drainage_lines()?;
                folder.write(&file, &lines_geojson(&lines, self.crs)?)
            }
        }
    }
}

/// Warns of options that speak of layers which the site gives.
fn without_effect(
    request: &Request<'_>,
    layers: &Layers,
    outputs: &[LandformOutput],
) -> Vec<Problem> {
    let used = made_from(outputs.iter().flat_map(|output| sources(*output)));
    let slope = &[GroundLayer::Slope, GroundLayer::Aspect][..];
    let options = [
        ("--method", request.slope_formula.is_some(), slope),
        ("--scale", request.scale.is_some(), slope),
        ("--flow", request.flow.is_some(), &[GroundLayer::WetnessIndex][..]),
    ];
    let warning = |(option, typed, speaks_of): (&str, bool, &[GroundLayer])| {
        let unheard: Vec<&str> = given(layers)
            .into_iter()
            .filter(|(layer, _)| typed && speaks_of.contains(layer) && used.contains(layer))
            .map(|(layer, _)| layer.name())
            .collect();
        let names = unheard.join(" and ");
        let problem = Problem::warning(option)
            .found(format!("a site that gives {names}: the option does not change them"))
            .expected("layers that are derived from elevation")
            .remedy("leave the option out, or take the layers out of [layers] to derive them");
        (!unheard.is_empty()).then_some(problem)
    };
    options.into_iter().filter_map(warning).collect()
}

fn month_of(
    monthly: Monthly,
    month: u8,
    derivation: &mut Derivation<'_>,
) -> Result<Raster<f32>, Problem> {
    match monthly {
        Monthly::Sun => derivation.sun_of_month(month),
        Monthly::Mean => derivation.mean_of_month(month),
        Monthly::Minimum => derivation.minimum_of_month(month),
    }
}

/// The layers that an output is made from.
pub(super) fn sources(output: LandformOutput) -> Vec<GroundLayer> {
    match output {
        LandformOutput::Measure(layer) => vec![layer],
        LandformOutput::Class(class) => vec![class.of()],
        LandformOutput::Monthly(Monthly::Sun) => vec![GroundLayer::Slope, GroundLayer::Aspect],
        LandformOutput::Monthly(_) => vec![],
        LandformOutput::DrainageLines => vec![GroundLayer::Filled],
    }
}
