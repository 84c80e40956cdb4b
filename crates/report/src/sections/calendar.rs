//! The work by month.

use super::{Field, counted, picture, table, told};
use crate::document::{Piece, Section};
use crate::form::Form;
use crate::gather::Dossier;

pub(super) fn calendar(dossier: &Dossier) -> Section {
    let of_check = dossier.of_site.as_ref().map(|site| &site.calendar);
    let pieces = told(of_check, "The calendar", |record, charts| {
        let mut pieces = vec![Piece::Text(format!(
            "Work begins in {}; months are those of the {}. Hatched bars have no slack: each month late moves what \
             follows. Grey bars may be late by the thin line behind them; crossed out ones cannot be in time.",
            record.text("/start"),
            if record.text("/hemisphere") == "north" { "northern year" } else { "southern year" }
        ))];
        let count = charts.len();
        pieces.extend(charts.iter().enumerate().filter_map(|(at, chart)| {
            let part =
                if count > 1 { format!(", part {} of {count}", at + 1) } else { String::new() };
            picture(&format!("calendar{at}"), chart, format!("Jobs by month{part}"))
        }));
        let fields = [
            Field::new("Job", "task", Form::Text, 58.0),
            Field::new("Who", "who", Form::Text, 34.0),
            Field::new("From", "earliest", Form::Text, 15.0),
            Field::new("At the latest", "latest", Form::Text, 15.0),
            Field::new("Months", "months", Form::Count, 12.0),
            Field::new("Slack, months", "slack_months", Form::Count, 13.0),
            Field::new("Hands on", "hands_on", Form::Text, 36.0),
        ];
        pieces.push(table(record, "Jobs", record.rows("/tasks"), &fields));
        let late = record.rows("/late_seed").map(|row| {
            let may = record.at(&format!("{row}/may_be_late_months")).as_u64();
            let misses = Form::Text.words(record.at(&format!("{row}/misses_winters")));
            let instead = Form::Text.words(record.at(&format!("{row}/plants_in")));
            let may = may.map_or_else(
                || "may be ten years late without missing a winter".to_owned(),
                |months| {
                    let months = counted(months as usize, "month");
                    format!("may be {months} late before a winter is missed")
                },
            );
            let then = if misses.is_empty() {
                String::new()
            } else {
                format!(
                    "; {} late, planting of {misses} is done in {instead}",
                    counted(record.number(&format!("{row}/late_months")).round() as usize, "month")
                )
            };
            (record.text(&format!("{row}/task")).to_owned(), may + &then)
        });
        let late: Vec<_> = late.collect();
        if !late.is_empty() {
            pieces.push(Piece::Heading("If seed is late".to_owned()));
            pieces.push(Piece::List(late));
        }
        pieces.push(Piece::List(super::sentences(record, "/notes")));
        pieces
    });
    Section { id: "calendar", title: "Calendar", pieces }
}
