//! What `check` would say of answers, and what is still to be said.

use std::path::Path;

use geo::Area;
use serde::Serialize;

use super::compose::STOCK;
use super::system::apart_km;
use super::{Answers, FoundFile, Role, Use, compose, layer_of};
use crate::pipeline::{Heard, Texts, hear_texts, looked_over};
use crate::problem::Problem;
use crate::read::{self, CodesThere, LayerFacts};
use crate::site::{self, CategorySource, SITE_FILE, Site};
use crate::stock_file;
use crate::write::write_text;

/// What can be said of answers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Look {
    /// Codes that lie on the property, where cover and drainage are named.
    pub codes: CodesThere,
    /// Where each layer lies.
    pub places: Vec<Placed>,
    /// The site file, where nothing is left to say.
    pub text: Option<String>,
    /// What `check` finds, errors first.
    pub problems: Vec<Problem>,
    /// What would be used of each layer.
    pub facts: Vec<LayerFacts>,
    /// The grid of the plan in words.
    pub grid: Option<String>,
    /// Its coordinate system.
    pub crs: Option<String>,
    /// Map hectares of the property.
    pub plan_ha: Option<f64>,
}

/// A layer on the globe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Placed {
    /// Name of its file.
    pub file: String,
    /// Its name inside the file.
    pub layer: Option<String>,
    /// Degrees west, south, east, north.
    pub on_globe: [f64; 4],
    /// From the middle of the boundary to its own, kilometres.
    pub apart_km: Option<f64>,
    /// Whether it reaches the boundary's rectangle.
    pub meets: Option<bool>,
}

/// Looks at answers about the files of a folder.
#[must_use]
pub fn look(folder: &Path, files: &[FoundFile], answers: &Answers) -> Look {
    let mut look = Look {
        codes: CodesThere::default(),
        places: places(files, answers),
        text: None,
        problems: Vec::new(),
        facts: Vec::new(),
        grid: None,
        crs: None,
        plan_ha: None,
    };
    match codes(folder, answers) {
        Ok(codes) => look.codes = codes,
        Err(problems) => look.problems = problems,
    }
    let unsaid = unsaid(answers, &look.codes);
    if look.problems.iter().any(Problem::is_error) || !unsaid.is_empty() {
        look.problems.extend(unsaid);
    } else {
        look.check(folder, answers);
    }
    look.problems.sort_by_key(|problem| !problem.is_error());
    let named = |problem: Problem| problem.named_from(folder);
    look.problems = look.problems.into_iter().map(named).collect();
    look
}

impl Look {
    fn check(&mut self, folder: &Path, answers: &Answers) {
        let heard = compose(answers).and_then(|text| {
            self.text = Some(text.clone());
            hear(folder, &text, answers)
        });
        let read = heard.and_then(|heard| {
            self.problems.extend(heard.warnings);
            looked_over(&heard.site, &heard.library)
        });
        match read {
            Ok((ready, warnings)) => {
                self.problems.extend(warnings);
                self.grid = Some(ready.grid.to_string());
                self.crs = Some(ready.crs.describe_fully());
                self.plan_ha = Some(ready.boundary.unsigned_area() / 10_000.0);
                self.facts = ready.facts;
                for fact in &mut self.facts {
                    fact.file = crate::problem::named_from(&fact.file, folder);
                }
            }
            Err(problems) => self.problems.extend(problems),
        }
    }
}

/// The site of answers, heard with its stock.
fn hear(folder: &Path, text: &str, answers: &Answers) -> Result<Heard, Vec<Problem>> {
    hear_texts(&Texts {
        site_file: folder.join(SITE_FILE),
        site: text.to_owned(),
        stock: stock_text(folder, answers)?,
        choices: String::new(),
    })
}

fn stock_text(folder: &Path, answers: &Answers) -> Result<String, Problem> {
    let Some(stock) = answers.uses.iter().find(|one| one.role == Role::Stock) else {
        if folder.join(STOCK).exists() {
            return Err(Problem::error("stock")
                .file(Path::new(STOCK))
                .found("a file that is not used")
                .expected("no file of that name, where one with invented lines is to be written")
                .remedy("say that it is the stock, or give it another name"));
        }
        return Ok(stock::STARTER.to_owned());
    };
    stock_file::text(&folder.join(&stock.file))
}

/// The site that answers make, heard with its stock before anything is written.
///
/// # Errors
/// Everything that keeps it from being a site.
pub fn heard(folder: &Path, answers: &Answers) -> Result<Heard, Vec<Problem>> {
    hear(folder, &compose(answers)?, answers)
}

/// Writes the site that answers make: `site.toml`, and before it `stock.toml` with invented lines where no file of the
/// folder is the stock.
///
/// # Errors
/// Everything that is not answered; a file of that name that is there; the disk.
pub fn write_site(folder: &Path, answers: &Answers) -> Result<(), Vec<Problem>> {
    let text = compose(answers)?;
    let site = folder.join(SITE_FILE);
    if site.exists() {
        return Err(Problem::error(SITE_FILE)
            .file(&site)
            .found("a site file that is there already")
            .expected("a folder without one")
            .remedy("open that one: `hillweave open` on the folder")
            .into());
    }
    if !answers.uses.iter().any(|one| one.role == Role::Stock) {
        write_text(&folder.join(STOCK), stock::STARTER, false)?;
    }
    Ok(write_text(&site, &text, false)?)
}

/// Codes of cover and drainage on the property; none where neither is named, or nothing can be laid yet.
fn codes(folder: &Path, answers: &Answers) -> Result<CodesThere, Vec<Problem>> {
    let of = |role: Role| answers.uses.iter().find(|one| one.role == role);
    let (cover, drainage) = (of(Role::Cover), of(Role::Drainage));
    if (cover.is_none() && drainage.is_none())
        || of(Role::Boundary).is_none()
        || of(Role::Elevation).is_none()
    {
        return Ok(CodesThere::default());
    }
    let mut site = bare(folder, answers)?;
    site.layers.cover = cover.map(|one| source(folder, one));
    site.layers.drainage = drainage.map(|one| source(folder, one));
    read::codes_there(&site)
}

/// The site of boundary and elevation alone.
fn bare(folder: &Path, answers: &Answers) -> Result<Site, Vec<Problem>> {
    let is_base = |one: &&Use| matches!(one.role, Role::Boundary | Role::Elevation);
    let bare = |one: &Use| Use { keep_clear: None, ..one.clone() };
    let answers = Answers {
        name: "unnamed".to_owned(),
        crs: answers.crs.clone(),
        cell_m: answers.cell_m,
        uses: answers.uses.iter().filter(is_base).map(bare).collect(),
        ..Answers::default()
    };
    site::parse(&compose(&answers)?, &folder.join(SITE_FILE)).map(|(site, _)| site)
}

fn source<C>(folder: &Path, one: &Use) -> CategorySource<C> {
    CategorySource {
        file: folder.join(&one.file),
        layer: one.layer.clone(),
        field: one.field.clone(),
        table: Vec::new(),
    }
}

/// Codes that lie on the property and that no answer names.
fn unsaid(answers: &Answers, codes: &CodesThere) -> Vec<Problem> {
    let cover = codes
        .cover
        .iter()
        .filter(|one| !answers.cover_classes.iter().any(|said| said.code == one.code));
    let drainage = codes
        .drainage
        .iter()
        .filter(|one| !answers.drainage_classes.iter().any(|said| said.code == one.code));
    let say = |layer: &'static str| {
        move |one: &read::CategoryShare| {
            Problem::error(format!("{layer} `{}`", one.code))
                .found(format!(
                    "a code on {:.1} % of the property of which nothing is said",
                    one.share * 100.0
                ))
                .expected("what it stands for")
                .remedy("say it under What codes stand for")
        }
    };
    cover.map(say("cover")).chain(drainage.map(say("drainage"))).collect()
}

/// Where the layers lie that are used.
fn places(files: &[FoundFile], answers: &Answers) -> Vec<Placed> {
    let found = |one: &Use| layer_of(files, &one.file, one.layer.as_deref());
    let boundary = answers.uses.iter().find(|one| one.role == Role::Boundary).and_then(found);
    let home = boundary.and_then(|layer| layer.on_globe);
    let used = answers.uses.iter().filter(|one| one.role != Role::None);
    let placed = |one: &Use| {
        let on_globe = found(one)?.on_globe?;
        Some(Placed {
            file: one.file.clone(),
            layer: one.layer.clone(),
            on_globe,
            apart_km: home.map(|home| apart_km(on_globe, home)),
            meets: home.map(|home| meet(on_globe, home)),
        })
    };
    used.filter_map(placed).collect()
}

fn meet([w1, s1, e1, n1]: [f64; 4], [w2, s2, e2, n2]: [f64; 4]) -> bool {
    w1 <= e2 && w2 <= e1 && s1 <= n2 && s2 <= n1
}
