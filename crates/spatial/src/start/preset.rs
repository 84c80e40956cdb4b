//! Rules that are usual around streams, lines, sites and tracks: something to begin from, for a person to put right.

use serde::Serialize;

use super::KeepClearAnswer;

/// A usual rule, with the words that bring it to mind.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Preset {
    /// The rule.
    pub rule: KeepClearAnswer,
    /// Where its distance comes from.
    pub source: &'static str,
    /// Words in the name of a layer.
    #[serde(skip)]
    pub(super) words: &'static [&'static str],
}

/// Every usual rule; the last is for anything.
#[must_use]
pub fn presets() -> Vec<Preset> {
    TABLE.iter().map(Row::preset).collect()
}

struct Row {
    name: &'static str,
    distance_m: f64,
    ask_within_m: Option<f64>,
    reason: &'static str,
    authority: &'static str,
    caution: Option<&'static str>,
    source: &'static str,
    words: &'static [&'static str],
}

const TABLE: [Row; 6] = [
    Row {
        name: "recorded site",
        distance_m: 20.0,
        ask_within_m: Some(200.0),
        reason: "no digging near a recorded site",
        authority: "archaeological authority: ask before any work",
        caution: Some(
            "A recorded point may be misplaced and older sites are protected whether recorded or not. Ask the \
             archaeological authority and tangata whenua before any digging; stop if anything is found.",
        ),
        source: "20 to 50 m: common practice, no source; ask within 200 m: a district council's advice",
        words: &[
            "archaeo", "heritage", "recorded", "burial", "urupa", "urupā", "wahi", "wāhi",
            "pā site", "midden",
        ],
    },
    Row {
        name: "power line",
        distance_m: 12.0,
        ask_within_m: Some(20.0),
        reason: "grown plants stay out of the line's growth limit",
        authority: "the line's owner and the tree regulations: ask",
        caution: Some(
            "Live line. Nobody and nothing goes near it without the line owner's approval; keep long tools, sprayers and \
             helicopters clear.",
        ),
        source: "grown height and a margin: common practice, no source",
        words: &["power", "transmission", "electric", "conductor", "pylon", "hv_line"],
    },
    Row {
        name: "stream",
        distance_m: 10.0,
        ask_within_m: None,
        reason: "bank, stream life and flood way",
        authority: "regional plan: check which rule applies",
        caution: None,
        source: "5 m from rivers under 3 m wide, 10 m from wider ones: by analogy with the national plantation \
                 standard, from memory",
        words: &[
            "stream",
            "river",
            "creek",
            "drain",
            "watercourse",
            "hydro",
            "lake",
            "pond",
            "wetland",
        ],
    },
    Row {
        name: "track",
        distance_m: 2.0,
        ask_within_m: None,
        reason: "access, and room for the edge to be maintained",
        authority: "common practice",
        caution: None,
        source: "common practice, no source",
        words: &["track", "road", "access", "lane"],
    },
    Row {
        name: "boundary fence",
        distance_m: 10.0,
        ask_within_m: None,
        reason: "adjoining property: fence line, shade and fire",
        authority: "district plan: check",
        caution: None,
        source: "10 m: by analogy with the national plantation standard, from memory",
        words: &["boundary", "fence"],
    },
    Row {
        name: "kept clear",
        distance_m: 10.0,
        ask_within_m: None,
        reason: "to be said",
        authority: "to be said",
        caution: None,
        source: "a number to begin from, no source",
        words: &[],
    },
];

impl Row {
    fn preset(&self) -> Preset {
        Preset {
            rule: KeepClearAnswer {
                name: self.name.to_owned(),
                distance_m: self.distance_m,
                width_field: None,
                reason: self.reason.to_owned(),
                authority: self.authority.to_owned(),
                date: String::new(),
                ask_within_m: self.ask_within_m,
                caution: self.caution.map(str::to_owned),
            },
            source: self.source,
            words: self.words,
        }
    }
}
