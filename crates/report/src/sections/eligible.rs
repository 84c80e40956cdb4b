//! Tests of schemes and grants.

use std::collections::BTreeMap;

use super::{counted, told};
use crate::document::{Column, Piece, Section, Table};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::{Cell, Record};

pub(super) fn eligible(dossier: &Dossier) -> Section {
    let of_check = dossier.of_site.as_ref().map(|site| &site.eligible);
    let pieces = told(of_check, "Schemes and grants", |record, _| {
        vec![
            Piece::Mind(record.text("/caution").to_owned()),
            verdicts(record),
            Piece::Heading("To ask".to_owned()),
            Piece::List(asks(record)),
            Piece::List(super::sentences(record, "/limits")),
            Piece::List(super::cautions_of(record)),
        ]
    });
    Section { id: "eligible", title: "Schemes and grants", pieces }
}

/// Pieces and hectares of map by rule and verdict.
fn verdicts(record: &Record) -> Piece {
    let mut rows = Vec::new();
    for rule in record.rows("/rules") {
        let id = record.text(&format!("{rule}/rule_id"));
        let mut cells = vec![
            record.cell(&format!("{rule}/name"), Form::Text),
            record.cell(&format!("{rule}/jurisdiction"), Form::Text),
        ];
        let mut sums: BTreeMap<&str, (usize, f64)> = BTreeMap::new();
        for piece in record.rows("/pieces") {
            for verdict in ["meets", "does_not_meet", "cannot_be_told"] {
                if record.texts(&format!("{piece}/{verdict}")).any(|one| one == id) {
                    let (count, ha) = sums.entry(verdict).or_default();
                    *count += 1;
                    *ha += record.number(&format!("{piece}/planted_plan_ha"));
                }
            }
        }
        for verdict in ["meets", "does_not_meet", "cannot_be_told"] {
            let (count, ha) = sums.get(verdict).copied().unwrap_or_default();
            let ha = Form::Fixed(1).words(&ha.into());
            cells.push(Cell::words(format!("{}, {ha} ha", counted(count, "piece"))));
        }
        cells.push(record.cell(&format!("{rule}/check_with"), Form::Text));
        rows.push(cells);
    }
    Piece::Table(Table {
        caption: "Tests as they are written, by piece of planted ground that hangs together; ha of map planted"
            .to_owned(),
        columns: vec![
            Column::words("Rule", 40.0),
            Column::words("Where", 22.0),
            Column::words("Met", 24.0),
            Column::words("Not met", 24.0),
            Column::words("Cannot be told", 24.0),
            Column::words("Check with", 34.0),
        ],
        rows,
    })
}

/// What no map tells.
fn asks(record: &Record) -> Vec<(String, String)> {
    let of_rule = |rule: String| {
        let asks: Vec<&str> = record.texts(&format!("{rule}/ask")).collect();
        (record.text(&format!("{rule}/name")).to_owned(), asks.join("; "))
    };
    record.rows("/rules").map(of_rule).filter(|(_, asks)| !asks.is_empty()).collect()
}
