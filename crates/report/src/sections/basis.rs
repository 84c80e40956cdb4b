//! What the report rests on: inputs, defaults, what to look at.

use std::collections::BTreeSet;

use super::{Field, table};
use crate::document::{Column, Piece, Section, Table};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::{Cell, Record};

pub(super) fn basis(dossier: &Dossier) -> Section {
    let plan = &dossier.plan;
    let mut pieces = vec![
        Piece::Said(vec![
            Cell::words(format!("Made by hillweave {} with seed ", plan.text("/version"))),
            plan.cell("/seed", Form::Text),
            Cell::words(format!(" in {}, of plan.json, whose SHA-256 is {}", plan.text("/crs"), dossier.plan_sha256)),
            Cell::words(match dossier.of_site {
                Some(_) => ", and of the records that hillweave cover, season, money, calendar, eligible and chances \
                            write of that plan."
                    .to_owned(),
                None => ".".to_owned(),
            }),
        ]),
        Piece::Note(
            "A figure of a table, and of the first paragraph, stands in one of these records at the place that its cell \
             names. Three kinds do not name theirs: figures in other sentences, captions, legends and cautions, which are \
             of the same records; how many lines, zones, winters and pieces there are, which are counted; and under Schemes \
             and grants the hectares of pieces, which are summed from eligible.json."
                .to_owned(),
        ),
    ];
    let looked = to_look_at(dossier);
    if !looked.is_empty() {
        pieces.push(Piece::Heading("To look at".to_owned()));
        pieces.push(Piece::List(looked));
    }
    pieces.push(merging(plan));
    let fields = [
        Field::new("For", "role", Form::Words, 24.0),
        Field::new("File", "file", Form::Text, 50.0),
        Field::new("SHA-256", "sha256", Form::Text, 100.0),
    ];
    pieces.push(table(plan, "What the plan was made of", plan.rows("/inputs"), &fields));
    if dossier.of_site.is_some() {
        pieces.push(read_now(&dossier.inputs_record));
    }
    pieces.push(defaults(dossier));
    Section { id: "basis", title: "What this rests on", pieces }
}

/// What every record asks to look at, each thing once.
pub(super) fn to_look_at(dossier: &Dossier) -> Vec<(String, String)> {
    let mut looked: Vec<(String, String)> = Vec::new();
    for warning in dossier.records().flat_map(super::warnings_of) {
        if !looked.contains(&warning) {
            looked.push(warning);
        }
    }
    looked
}

/// Files of the site as they are now, of which the checks, the shade of the land and slopes are.
fn read_now(record: &Record) -> Piece {
    let fields = [
        Field::new("For", "role", Form::Words, 24.0),
        Field::new("File", "file", Form::Text, 40.0),
        Field::new("Same as the plan's", "same_as_plan", Form::Text, 14.0),
        Field::new("SHA-256", "sha256", Form::Text, 96.0),
    ];
    let caption =
        "What was read now: the checks, the shade of the land and slopes are of these files";
    table(record, caption, record.rows("/inputs"), &fields)
}

/// How far merging moved ground between classes.
fn merging(plan: &Record) -> Piece {
    let fields = [
        Field::new("Slope group", "slope_group", Form::Text, 20.0),
        Field::new(
            "On the property's plantable ground, ha of map",
            "cells_plan_ha",
            Form::Fixed(1),
            30.0,
        ),
        Field::new("In zones, ha of map", "in_zones_plan_ha", Form::Fixed(1), 24.0),
        Field::new("In zones named so, ha of map", "named_plan_ha", Form::Fixed(1), 28.0),
    ];
    let caption = format!(
        "Zones were merged from {} regions; {} of their ground lies in a zone named for another class. Figures of groups \
         are from cells, not from names",
        Form::Count.words(plan.at("/merging/regions")),
        Form::Percent(0).words(plan.at("/merging/moved_share")),
    );
    table(plan, caption, plan.rows("/merging/by_slope_group"), &fields)
}

/// Every default of every record, once.
fn defaults(dossier: &Dossier) -> Piece {
    let mut known = BTreeSet::new();
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for record in dossier.records() {
        for row in record.rows("/defaults") {
            if known.insert(record.text(&format!("{row}/key")).to_owned()) {
                let cell = |name: &str| record.cell(&format!("{row}/{name}"), Form::Text);
                rows.push(["key", "value", "source"].map(cell).to_vec());
            }
        }
    }
    Piece::Table(Table {
        caption: format!("Every default used: {} keys that the site leaves open", rows.len()),
        columns: vec![
            Column::words("Key", 44.0),
            Column::words("Value", 36.0),
            Column::words("Source", 92.0),
        ],
        rows,
    })
}
