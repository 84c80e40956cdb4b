//! What to bear in mind of a stock, beyond what can be refused.

use crate::nectar::Nectar;
use crate::{Library, Stock, StockKind};

/// Mother trees that hold an allele of frequency 0.05 with 95 % chance when they outcross: 59 gametes
/// (Brown & Marshall, as seed-banking protocols use it).
const MOTHERS: u32 = 30;

/// Trees below which a mean of nectar tells little: common practice, no source.
const TREES: u32 = 10;

/// One thing to bear in mind of one stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockCaution {
    /// The stock's id.
    pub stock_id: String,
    /// What to bear in mind, in a sentence.
    pub text: String,
}

impl Library {
    /// What to bear in mind of each stock, in the order of the file. Nothing here stops a plan.
    #[must_use]
    pub fn cautions(&self) -> Vec<StockCaution> {
        let of_one = |stock: &Stock| {
            let said = |text| StockCaution { stock_id: stock.id.clone(), text };
            cautions(stock).into_iter().map(said).collect::<Vec<_>>()
        };
        self.stocks().iter().flat_map(of_one).collect()
    }
}

fn cautions(stock: &Stock) -> Vec<String> {
    let mut texts = Vec::new();
    if stock.kind == StockKind::SeedLine {
        // Millner et al. 2016, doi 10.33584/rps.16.2016.3266: chosen provenances had 1.9 to 2.5 times
        // the DHA of the wild plants beside them.
        texts.push(
            "local seed carries the nectar of its stand: planting it, or helping wild plants to \
             regenerate, does not raise the quality of honey"
                .to_owned(),
        );
        texts.extend(seed_cautions(stock));
    }
    texts.extend(stock.nectar.as_ref().and_then(nectar_caution));
    if stock.kind == StockKind::Cultivar && stock.flowering.is_none() {
        texts.push(
            "flowering is not told: it may flower before bees fly, ask for dates and their height"
                .to_owned(),
        );
    }
    texts
}

fn seed_cautions(stock: &Stock) -> Option<String> {
    let Some(origin) = &stock.origin else {
        return Some("origin is not told: no rule about local seed can be checked".to_owned());
    };
    let few = origin.mothers.filter(|mothers| *mothers < MOTHERS)?;
    let trees = if few == 1 { "tree" } else { "trees" };
    Some(format!(
        "seed of {few} mother {trees}: {MOTHERS} are needed to hold most of a stand's variety"
    ))
}

fn nectar_caution(nectar: &Nectar) -> Option<String> {
    match nectar.trees {
        None => Some("nectar without the number of trees: the mean cannot be weighed".to_owned()),
        Some(few) if few < TREES => Some(format!(
            "nectar of {few} {}: too few to rank lines by, trees of one stand differ widely",
            if few == 1 { "tree" } else { "trees" }
        )),
        Some(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(lines: &str) -> Vec<String> {
        let text = format!("[[stock]]\nid = \"a\"\nname = \"A\"\n{lines}\n");
        let cautions = Library::parse(&text).unwrap().cautions();
        assert!(cautions.iter().all(|caution| caution.stock_id == "a"));
        cautions.into_iter().map(|caution| caution.text).collect()
    }

    #[test]
    fn each_is_said_when_it_holds_and_not_otherwise() {
        let seed = "kind = \"seed_line\"\n";
        let cultivar =
            "kind = \"cultivar\"\nflowering = { begins = 340, ends = 15, elevation_m = 0 }\n";
        for (lines, words) in [
            (seed.to_owned(), vec!["quality of honey", "origin is not told"]),
            (
                format!("{seed}origin = {{ mothers = 1 }}"),
                vec!["quality of honey", "1 mother tree:"],
            ),
            (
                format!("{seed}origin = {{ mothers = 29 }}"),
                vec!["quality of honey", "29 mother trees"],
            ),
            (format!("{seed}origin = {{ mothers = 30 }}"), vec!["quality of honey"]),
            (format!("{seed}origin = {{ seed_zone = \"x\" }}"), vec!["quality of honey"]),
            ("kind = \"cultivar\"".to_owned(), vec!["before bees fly"]),
            (cultivar.to_owned(), vec![]),
            (format!("{cultivar}nectar = {{ ratio_mean = 0.01 }}"), vec!["number of trees"]),
            (format!("{cultivar}nectar = {{ ratio_mean = 0.01, trees = 1 }}"), vec!["of 1 tree:"]),
            (format!("{cultivar}nectar = {{ ratio_mean = 0.01, trees = 9 }}"), vec!["of 9 trees"]),
            (format!("{cultivar}nectar = {{ ratio_mean = 0.01, trees = 10 }}"), vec![]),
        ] {
            let said = texts(&lines);
            assert_eq!(said.len(), words.len(), "{lines}\n{said:?}");
            for (said, words) in said.iter().zip(words) {
                assert!(said.contains(words), "{said}");
            }
        }
    }
}
