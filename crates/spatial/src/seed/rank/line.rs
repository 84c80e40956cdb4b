//! The mothers as a seed line of the stock file.

use stock::nectar::{DhaRatio, Nectar, NormalisedDha};
use stock::{
    Factor, Library, Origin, Place, Shape, Status, Stock, StockForm, StockKind, Supply, Trapezoid,
};

use crate::problem::Problem;

/// How much higher or lower than its mothers a line may go before it does not fit at all, metres.
/// Common practice, no source: 200 to 300 m.
const HEIGHT_M: f64 = 300.0;

/// What is told of a line.
pub(super) struct Line {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) first_winter: i32,
    pub(super) seedlings: u64,
    pub(super) lead_months: u32,
    pub(super) dha_mg_per_kg: f64,
    pub(super) tree_sd_mg_per_kg: f64,
    pub(super) trees: usize,
    pub(super) mothers: usize,
    pub(super) place: [f64; 2],
    pub(super) crs: String,
    /// Lowest, mean and highest ground of mothers, metres.
    pub(super) heights_m: Option<[f64; 3]>,
    pub(super) seed_zone: Option<String>,
}

impl Line {
    /// As stock: being raised, fitted to the heights where its mothers grow and to nothing else.
    pub(super) fn stock(&self) -> Option<Stock> {
        let mut line = Stock::named(&self.id, &self.name, StockKind::SeedLine);
        line.status = Status::BeingRaised { from: self.first_winter };
        line.supply = Supply::Seasons([(self.first_winter, self.seedlings)].into());
        line.lead_months = Some(self.lead_months);
        line.nectar = Some(Nectar {
            ratio_mean: tidy(NormalisedDha::new(self.dha_mg_per_kg)?.ratio())?,
            ratio_sd: tidy(NormalisedDha::new(self.tree_sd_mg_per_kg)?.ratio())
                .map(DhaRatio::mg_per_mg),
            trees: u32::try_from(self.trees).ok(),
        });
        line.origin = Some(Origin {
            place: Some(Place {
                crs: self.crs.clone(),
                shape: Shape::Point(self.place.map(|metres| metres.round())),
            }),
            elevation_m: self.heights_m.map(|heights| heights[1].round()),
            mothers: u32::try_from(self.mothers).ok(),
            seed_zone: self.seed_zone.clone(),
            taxon: None,
        });
        if let Some([low, _, high]) = self.heights_m {
            let (low, high) = (low.floor(), high.ceil());
            let lower = Some((low - HEIGHT_M, low));
            let range = Trapezoid::new(lower, Some((high, high + HEIGHT_M))).ok()?;
            line.tolerance = line.tolerance.with(Factor::ElevationM, range);
        }
        Some(line)
    }

    /// The line alone as TOML, with what to bear in mind.
    pub(super) fn toml(&self, stock: &Stock) -> Result<String, Problem> {
        let library =
            Library::new(vec![stock.clone()]).map_err(|faults| fault(&faults[0].found))?;
        Ok(format!(
            "# {}: seedlings of {} mother trees of the property, being raised for the winter of {}.\n\
             # Supply: what their seed gives within the harvest limit; a year of seed may be lost.\n\
             # Nectar: what is to be expected of open-pollinated seed, which hands on half of what its mothers\n\
             # have; check it on the plants.\n\
             # Tolerance: the heights where the mothers grow, and {HEIGHT_M} m beside (common practice, no source).\n\
             # Nothing else is known to limit it: add what you know of cold, wet and exposed ground.\n{}",
            self.name,
            self.mothers,
            self.first_winter,
            library.write(StockForm::Toml)
        ))
    }
}

/// Six decimals: more says nothing.
fn tidy(ratio: DhaRatio) -> Option<DhaRatio> {
    DhaRatio::new((ratio.mg_per_mg() * 1e6).round() / 1e6)
}

/// The stock file of a site with the line at its end: as it was written, comments and all, if it is TOML.
///
/// # Errors
/// When the line does not go with the others, such as by a name that is there already.
pub(super) fn with_line(
    text: Option<&str>,
    library: &Library,
    stock: &Stock,
    line: &str,
) -> Result<String, Problem> {
    let all = library.stocks().iter().chain([stock]).cloned().collect();
    let all = Library::new(all).map_err(|faults| {
        let fault = &faults[0];
        Problem::error("--line")
            .found(format!("`{}`: {}", stock.id, fault.found))
            .expected(fault.expected.clone())
            .remedy("name the line anew with `--line ID`")
    })?;
    Ok(match text {
        Some(text) => format!("{}\n\n{line}", text.trim_end()),
        None => all.write(StockForm::Toml),
    })
}

pub(super) fn fault(error: &str) -> Problem {
    Problem::error("seed line")
        .found(error)
        .expected("a line that the stock file can hold")
        .remedy("this is a fault of the program: please report it with the sheets")
}
