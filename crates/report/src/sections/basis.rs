//! What the report rests on: inputs, defaults, what to look at.

use std::collections::BTreeSet;

use super::{Field, table};
use crate::document::{Column, Piece, Section, Table};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::{Cell, Record};

pub(super) fn basis(dossier: &Dossier) -> Section {
    let plan = &dossier.plan;
    let mut pieces = vec![Piece::Text(format!(
        "Made by hillweave {} with seed {} in {}. Every figure of this report stands in one of its records, at the place \
         that its cell names: plan.json, whose SHA-256 is {}, and the records that hillweave cover, season, money, \
         calendar, eligible and chances write of that plan.",
        plan.text("/version"),
        Form::Year.words(plan.at("/seed")),
        plan.text("/crs"),
        dossier.plan_sha256,
    ))];
    let mut looked: Vec<(String, String)> = Vec::new();
    for warning in dossier.records().flat_map(super::warnings_of) {
        if !looked.contains(&warning) {
            looked.push(warning);
        }
    }
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
    pieces.push(table(plan, "What was read", plan.rows("/inputs"), &fields));
    pieces.push(defaults(dossier));
    Section { id: "basis", title: "What this rests on", pieces }
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
