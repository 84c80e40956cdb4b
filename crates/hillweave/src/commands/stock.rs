//! `hillweave stock`: what can be planted, as words or in the other form of its file.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;
use spatial::problem::Problem;
use spatial::stock_file;
use spatial::units::thousands;
use stock::nectar::Nectar;
use stock::{Flowering, LandformClass, Library, Origin, Status, Stock, Supply};

use crate::arguments;
use crate::outcome::{Outcome, Stop};
use crate::screen::{Ink, Screen, counted};

/// Reads the stock, and writes or tells it.
pub(crate) fn run(options: &arguments::Stock, screen: &Screen) -> Result<Outcome, Stop> {
    let file = stock_file::find(&options.source)?;
    let library = stock_file::read(&file)?;
    if let Some(target) = &options.output {
        refuse_same(&file, target)?;
        stock_file::write(&library, target, options.overwrite)?;
    }
    let cautions = library.cautions();
    screen.json(&Report {
        schema: "hillweave.stock/1",
        file: &file,
        written: options.output.as_deref(),
        lines: library.stocks().iter().map(Line::of).collect(),
        cautions: cautions
            .iter()
            .map(|caution| Caution { stock_id: &caution.stock_id, text: &caution.text })
            .collect(),
    })?;
    match &options.output {
        None => screen.words(&listing(&library, screen))?,
        Some(target) => screen.words(&format!(
            "{} written to {}\n",
            counted(library.stocks().len(), "line"),
            screen.ink(Ink::Hint, &target.display().to_string())
        ))?,
    }
    Ok(Outcome::Done)
}

/// A file rewritten from itself would lose its comments.
fn refuse_same(file: &Path, target: &Path) -> Result<(), Problem> {
    match (file.canonicalize(), target.canonicalize()) {
        (Ok(file), Ok(target)) if file == target => {}
        _ => return Ok(()),
    }
    let problem = Problem::error("--output").file(target).found("the file that is read");
    let problem = problem.expected("another file: comments would be lost");
    Err(problem.remedy("name another file"))
}

/// Every line in words, with what to bear in mind.
fn listing(library: &Library, screen: &Screen) -> String {
    let mut text = format!("{} of stock\n", counted(library.stocks().len(), "line"));
    let mut cautions: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for caution in library.cautions() {
        cautions.entry(caution.stock_id).or_default().push(caution.text);
    }
    for stock in library.stocks() {
        // Writing to a String cannot fail.
        let name = screen.ink(Ink::Strong, &stock.name);
        let _ = writeln!(text, "\n{name} ({}), {}, {}", stock.id, stock.kind, status(stock.status));
        for (what, words) in facts(stock) {
            let _ = writeln!(text, "  {what:<10} {words}");
        }
        for caution in cautions.get(&stock.id).into_iter().flatten() {
            let _ = writeln!(text, "  {:<10} {caution}", "note");
        }
    }
    text
}

fn status(status: Status) -> String {
    match status {
        Status::Available => "available".to_owned(),
        Status::BeingRaised { from } => format!("being raised, from {from}"),
        Status::Idea => "an idea, nothing to order".to_owned(),
    }
}

/// What is known of a stock, beside its tolerance.
fn facts(stock: &Stock) -> Vec<(&'static str, String)> {
    let mut facts = vec![("supply", supply(stock))];
    facts.extend(
        stock.mature_height_m.map(|height_m| ("height", format!("{height_m} m when mature"))),
    );
    facts.extend(stock.nectar.as_ref().map(|nectar| ("nectar", nectar_words(nectar))));
    facts.extend(stock.flowering.as_ref().map(|line| ("flowering", flowering_words(line))));
    facts.push(("survival", survival_words(stock)));
    facts.extend(stock.origin.as_ref().map(|origin| ("origin", origin_words(origin))));
    let factors: Vec<&str> = stock.tolerance.factors().map(stock::Factor::label).collect();
    let factors = if factors.is_empty() { "nothing".to_owned() } else { factors.join(", ") };
    facts.push(("limited by", factors));
    facts
}

fn supply(stock: &Stock) -> String {
    let mut words = match &stock.supply {
        Supply::Unlimited => "not limited".to_owned(),
        Supply::Total(plants) => format!("{} plants", thousands(*plants)),
        Supply::Seasons(seasons) => {
            let one = |(year, plants): (&i32, &u64)| format!("{} in {year}", thousands(*plants));
            format!("{} plants", seasons.iter().map(one).collect::<Vec<_>>().join(", "))
        }
    };
    if let Some(lot) = stock.min_lot {
        let _ = write!(words, "; lots of {} or more", thousands(lot.into()));
    }
    if let Some(price) = stock.price_nzd {
        let _ = write!(words, "; NZ$ {price:.2} each");
    }
    let usual = if stock.lead_months.is_none() { " (usual)" } else { "" };
    let _ = write!(words, "; {} months from the order{usual}", stock.lead_months());
    words
}

fn nectar_words(nectar: &Nectar) -> String {
    let dha = nectar.normalised().mg_per_kg().round() as u64;
    let mut words = format!("{} mg DHA/kg at 80 °Brix, {}", thousands(dha), nectar.band());
    if let Some(trees) = nectar.trees {
        let _ = write!(words, "; {}", counted(trees as usize, "tree"));
    }
    if let Some(error) = nectar.relative_error() {
        let _ = write!(words, ", ± {:.0} %", error * 100.0);
    }
    words
}

fn flowering_words(line: &Flowering) -> String {
    format!(
        "{} to {} (month-day) at {} m, {} days later for each 100 m higher",
        line.begins, line.ends, line.elevation_m, line.shift_days_per_100m
    )
}

fn survival_words(stock: &Stock) -> String {
    let one = |landform: LandformClass| {
        let usual = if stock.survival.given(landform).is_none() { " (usual)" } else { "" };
        format!("{landform} {:.0} %{usual}", stock.survival.alive(landform) * 100.0)
    };
    LandformClass::ALL.map(one).join(", ")
}

fn origin_words(origin: &Origin) -> String {
    let mut parts = Vec::new();
    parts.extend(origin.mothers.map(|mothers| counted(mothers as usize, "mother tree")));
    parts.extend(origin.elevation_m.map(|height_m| format!("at {height_m} m")));
    parts.extend(origin.seed_zone.as_ref().map(|zone| format!("seed zone {zone}")));
    parts.extend(origin.place.as_ref().map(|place| match &place.shape {
        stock::Shape::Point([x, y]) => format!("{x}, {y} in {}", place.crs),
        stock::Shape::Polygon(_) => format!("a polygon in {}", place.crs),
    }));
    parts.extend(origin.taxon.as_ref().map(|taxon| format!("{} ({})", taxon.name, taxon.basis)));
    parts.join(", ")
}

/// What a script is told.
#[derive(Serialize)]
struct Report<'a> {
    schema: &'static str,
    file: &'a PathBuf,
    #[serde(skip_serializing_if = "Option::is_none")]
    written: Option<&'a Path>,
    lines: Vec<Line<'a>>,
    cautions: Vec<Caution<'a>>,
}

#[derive(Serialize)]
struct Line<'a> {
    id: &'a str,
    name: &'a str,
    kind: &'static str,
    status: &'static str,
    first_season: Option<i32>,
    supply_total: Option<u64>,
    min_lot: Option<u32>,
    price_nzd: Option<f64>,
    lead_months: u32,
    mature_height_m: Option<f64>,
    nectar_dha_mg_per_kg_80brix: Option<f64>,
    flowering: Option<[String; 2]>,
}

impl<'a> Line<'a> {
    fn of(stock: &'a Stock) -> Self {
        Self {
            id: &stock.id,
            name: &stock.name,
            kind: stock.kind.key(),
            status: stock.status.key(),
            first_season: stock.status.first_season(),
            supply_total: stock.supply_total(),
            min_lot: stock.min_lot,
            price_nzd: stock.price_nzd,
            lead_months: stock.lead_months(),
            mature_height_m: stock.mature_height_m,
            nectar_dha_mg_per_kg_80brix: stock.nectar.map(|nectar| nectar.normalised().mg_per_kg()),
            flowering: stock
                .flowering
                .map(|line| [line.begins, line.ends].map(|day| day.to_string())),
        }
    }
}

#[derive(Serialize)]
struct Caution<'a> {
    stock_id: &'a str,
    text: &'a str,
}
