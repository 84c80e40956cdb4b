//! A property with its lines fitted to its zones, each stage made anew only where what it is made from has changed.

use std::collections::BTreeSet;
use std::ops::Deref;
use std::path::Path;
use std::sync::Arc;

use rayon::prelude::*;
use stock::Library;

use super::heard::{Heard, hear};
use super::{Stage, same};
use crate::fit::{ZoneFit, fit};
use crate::ground::{Ground, ground, ground_again};
use crate::layout::{ZoneDemand, zone_demand};
use crate::offers::{Seasons, Sourcing, Terms};
use crate::overrides::Overrides;
use crate::plan::Reach;
use crate::problem::Problem;
use crate::read::{Ready, changed_meanwhile, read, read_drawn};
use crate::site::Site;
use crate::zones::{Zones, zones};

/// A property: what a plan is made on.
pub struct Property {
    /// The site.
    pub site: Site,
    /// Its stock.
    pub library: Library,
    /// Its layers on one grid.
    pub ready: Arc<Ready>,
    /// Its ground.
    pub ground: Arc<Ground>,
    /// Its zones, stands and ground kept clear.
    pub zones: Arc<Zones>,
}

/// A property with its lines fitted to its zones: everything that the mosaic is made from.
pub struct Fitted {
    /// The property, shared by all that looks at it.
    pub property: Arc<Property>,
    /// Fit, `[zone][stock]`.
    pub fits: Arc<Vec<Vec<ZoneFit>>>,
    /// What each zone asks for, before densities are set by hand.
    pub demands: Arc<Vec<ZoneDemand>>,
    /// When planting can be done.
    pub seasons: Seasons,
    /// What home seed may go where.
    pub sourcing: Sourcing,
    /// Choices made by hand.
    pub overrides: Overrides,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

impl Deref for Fitted {
    type Target = Property;

    fn deref(&self) -> &Property {
        &self.property
    }
}

impl Fitted {
    /// What offers are made from.
    #[must_use]
    pub fn terms(&self) -> Terms<'_> {
        Terms {
            zones: &self.zones,
            fits: &self.fits,
            demands: &self.demands,
            site: &self.site,
            library: &self.library,
            seasons: self.seasons,
            sourcing: &self.sourcing,
            overrides: &self.overrides,
        }
    }
}

/// Reads a property, draws its zones and fits its lines to them. `enter` is told of each stage as it begins.
///
/// # Errors
/// Every problem that stops it, with its remedy.
pub fn fitted(
    site_file: &Path,
    reach: Reach,
    enter: &mut dyn FnMut(Stage),
) -> Result<Fitted, Vec<Problem>> {
    enter(Stage::Read);
    let heard = hear(site_file, reach)?;
    let (site, library) = (heard.site.clone(), heard.library.clone());
    let choices = heard.choices.clone();
    let ready = Arc::new(read(&heard.site)?);
    let fitted = fitted_on(heard, ready, Again::Never, reach, enter)?;
    // The sums of the inputs were taken after these were heard: they must say the same still.
    let again = hear(site_file, reach)?;
    let changed = [
        (again.site != site, "site", Some(&site.file)),
        (again.library != library, "stock", Some(&site.stock)),
        (again.choices != choices, "overrides", site.mosaic.overrides.as_ref()),
    ];
    let changed = changed.into_iter().filter(|(is_other, ..)| *is_other);
    let changed: Vec<Problem> =
        changed.filter_map(|(_, role, file)| Some(changed_meanwhile(role, file?))).collect();
    if changed.is_empty() { Ok(fitted) } else { Err(changed) }
}

/// The same of what has been heard, with what lets [`fitted_again`] be quick kept in memory ([`ground_again`]). `enter` is
/// told of the stages after reading.
///
/// # Errors
/// As [`fitted`].
pub fn fitted_from(
    heard: Heard,
    reach: Reach,
    enter: &mut dyn FnMut(Stage),
) -> Result<Fitted, Vec<Problem>> {
    let ready = Arc::new(read(&heard.site)?);
    fitted_on(heard, ready, Again::Later, reach, enter)
}

/// Plans again what was fitted before: `heard` is what has come of its site, stock and choices. Stages whose
/// makings are what they were are taken over, and `enter` is told of the others alone.
///
/// What comes out is what [`fitted`] makes of the same files, but for the sums of the inputs, which are of the files as
/// they were first read.
///
/// # Errors
/// As [`fitted`].
pub fn fitted_again(
    before: &Fitted,
    heard: Heard,
    enter: &mut dyn FnMut(Stage),
) -> Result<Fitted, Vec<Problem>> {
    let (was, site) = (&before.site, &heard.site);
    if !same::layers(was, site) {
        enter(Stage::Read);
        return fitted_from(heard, Reach::Orders, enter);
    }
    let ready = if same::drawn(was, site) {
        Arc::clone(&before.ready)
    } else {
        enter(Stage::Read);
        Arc::new(read_drawn(&before.ready, was, site)?)
    };
    fitted_on(heard, ready, Again::Now(before), Reach::Orders, enter)
}

/// Whether a property is planned on more than once.
#[derive(Clone, Copy)]
enum Again<'a> {
    Never,
    Later,
    Now(&'a Fitted),
}

fn fitted_on(
    heard: Heard,
    ready: Arc<Ready>,
    again: Again<'_>,
    reach: Reach,
    enter: &mut dyn FnMut(Stage),
) -> Result<Fitted, Vec<Problem>> {
    let Heard { site, library, choices, mut warnings } = heard;
    let asked = tolerated(&library);
    let earlier = if let Again::Now(before) = again { Some(before) } else { None };
    let before = earlier
        .filter(|before| same::ground(&before.site, &site) && tolerated(&before.library) == asked);
    let ground = if let Some(before) = before {
        Arc::clone(&before.ground)
    } else {
        enter(Stage::Ground);
        let earlier = earlier.map(|earlier| (&*earlier.ground, &earlier.site));
        Arc::new(match again {
            Again::Never => ground(&ready, &site, &asked)?,
            Again::Later | Again::Now(_) => ground_again(&ready, &site, &asked, earlier)?,
        })
    };
    warnings.extend(unused_tolerances(&ready, &library, &site));
    let before = before
        .filter(|before| before.site.zones == site.zones && Arc::ptr_eq(&before.ready, &ready));
    let zones = if let Some(before) = before {
        Arc::clone(&before.zones)
    } else {
        enter(Stage::Zones);
        Arc::new(zones(&ready, &ground, &site)?)
    };
    let fits = if let Some(before) = before.filter(|before| same::fits(before, &site, &library)) {
        Arc::clone(&before.fits)
    } else {
        enter(Stage::Fit);
        Arc::new(match reach {
            Reach::Zones => vec![Vec::new(); zones.zones.len()],
            Reach::Orders => fit(&zones, &ground, &site, &library),
        })
    };
    let demands =
        if let Some(before) = before.filter(|before| same::demands(before, &site, &library)) {
            Arc::clone(&before.demands)
        } else {
            let demand = |zone| zone_demand(zone, &ground, &site, &library);
            Arc::new(zones.zones.par_iter().map(demand).collect())
        };
    let (overrides, strays) = match &site.mosaic.overrides {
        Some(file) => Overrides::place(choices, &zones, file),
        None => Default::default(),
    };
    warnings.extend(strays);
    let (sourcing, unknown) = match reach {
        Reach::Zones => Default::default(),
        Reach::Orders => Sourcing::new(&site, &library, &zones, &ready.seed_zones, &ready.crs),
    };
    warnings.extend(unknown);
    let seasons = Seasons::of(&site, &library);
    Ok(Fitted {
        property: Arc::new(Property { site, library, ready, ground, zones }),
        fits,
        demands,
        seasons,
        sourcing,
        overrides,
        warnings,
    })
}

/// Reads the layers of a site whose stock is heard, with everything worth a look in them: what a check tells before a plan
/// is made.
///
/// # Errors
/// Every problem of the layers.
pub fn looked_over(site: &Site, library: &Library) -> Result<(Ready, Vec<Problem>), Vec<Problem>> {
    let ready = read(site)?;
    let mut warnings = ready.warnings.clone();
    warnings.extend(unused_tolerances(&ready, library, site));
    Ok((ready, warnings))
}

/// Every factor that some stock names.
#[must_use]
pub fn tolerated(library: &Library) -> BTreeSet<stock::Factor> {
    library.stocks().iter().flat_map(|line| line.tolerance.factors()).collect()
}

/// Tolerances that cannot be heard because the site has no layer for them.
#[must_use]
pub fn unused_tolerances(ready: &Ready, library: &Library, site: &Site) -> Vec<Problem> {
    let missing = [
        (stock::Factor::ColdestMonthMinC, ready.climate.is_none(), "layers.climate"),
        (stock::Factor::AnnualMeanC, ready.climate.is_none(), "layers.climate"),
        (stock::Factor::Drainage, ready.drainage.is_none(), "layers.drainage"),
    ];
    let warning = |(factor, absent, key): (stock::Factor, bool, &str)| {
        let lines =
            library.stocks().iter().filter(|line| line.tolerance.factors().any(|f| f == factor));
        let names: Vec<&str> = lines.map(|line| line.name.as_str()).collect();
        (absent && !names.is_empty()).then(|| {
            Problem::warning(format!("tolerance.{}", factor.key()))
                .file(&site.stock)
                .found(format!("asked of {}, but the site has no such layer", names.join(", ")))
                .expected(format!("a [{key}] layer in {}", site.file.display()))
                .remedy("name the layer, or read the fits knowing that this factor was not counted")
        })
    };
    missing.into_iter().filter_map(warning).collect()
}
