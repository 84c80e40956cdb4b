//! Costs, and what the site's own tables make of them.

use super::{Facts, Field, picture, table, told};
use crate::document::{Piece, Section};
use crate::form::Form;
use crate::gather::Dossier;

pub(super) fn money(dossier: &Dossier) -> Section {
    let of_check = dossier.of_site.as_ref().map(|site| &site.money);
    let pieces = told(of_check, "Money", |record, charts| {
        let mut facts = Facts::new();
        facts.add("all costs", record, "/cost_nzd", Form::Dollars, "NZ$ of today, not discounted");
        facts.add(
            "for a planted hectare",
            record,
            "/cost_nzd_per_ha",
            Form::Dollars,
            "NZ$ a ha of map",
        );
        facts.add("over", record, "/settings/years", Form::Count, "years after the first");
        facts.add(
            "as they are worth now",
            record,
            "/present_cost_nzd",
            Form::Dollars,
            "NZ$, at the rate below",
        );
        facts.add("discount rate", record, "/settings/discount_rate", Form::Percent(1), "a year");
        facts.add(
            "costs may be off by",
            record,
            "/settings/cost_spread",
            Form::Percent(0),
            "either way",
        );
        let mut pieces = vec![
            Piece::Mind(record.text("/caution").to_owned()),
            facts.piece("What it costs"),
            table(
                record,
                "Costs by stage, all years",
                record.rows("/stages"),
                &[
                    Field::new("Stage", "stage", Form::Words, 40.0),
                    Field::new("NZ$", "cost_nzd", Form::Dollars, 20.0),
                ],
            ),
        ];
        if let Some(chart) = charts.first() {
            pieces.extend(picture("money", chart, "Cash up to the end of each year, NZ$: the band reaches from everything at its low end at once to everything at its high end"));
        }
        if record.len("/cases") > 0 {
            let fields = [
                Field::new("Everything at its", "case", Form::Text, 24.0),
                Field::new("All cash, NZ$", "total_nzd", Form::Dollars, 20.0),
                Field::new("Present value, NZ$", "npv_nzd", Form::Dollars, 20.0),
                Field::new("for a planted ha of map", "npv_nzd_per_ha", Form::Dollars, 20.0),
            ];
            pieces.push(table(
                record,
                "Ranges, from your own tables; none is a forecast",
                record.rows("/cases"),
                &fields,
            ));
        }
        let fields = [
            Field::new("Figure", "driver", Form::Text, 44.0),
            Field::new("Unit", "unit", Form::Text, 30.0),
            Field::new("low", "low", Form::Fixed(2), 14.0),
            Field::new("middle", "middle", Form::Fixed(2), 14.0),
            Field::new("high", "high", Form::Fixed(2), 14.0),
            Field::new("moves the present value by, NZ$", "swing_nzd", Form::Dollars, 24.0),
        ];
        pieces.push(table(record, "What moves it most", record.rows("/sensitivity"), &fields));
        pieces.push(Piece::List(super::sentences(record, "/notes")));
        pieces.push(Piece::List(super::cautions_of(record)));
        pieces
    });
    Section { id: "money", title: "Money", pieces }
}
