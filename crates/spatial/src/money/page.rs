//! The money as a page to read and print.

use palette::escaped;

use super::chart::{cumulative, dollars, swings};
use super::rows::{Money, SensitivityRow};
use crate::write::{PAGE_END, UPRIGHT, page_head, put};

/// What this page adds to the style of upright ones.
const STYLE: &str = "svg{width:100%;height:auto;break-inside:avoid}\
.caution{border:.5mm solid #000;padding:1.5mm 2.5mm;margin:2mm 0;font-weight:bold}";

/// The page, UTF-8.
pub(super) fn page(money: &Money) -> String {
    let site = escaped(&money.site);
    let title = format!("{site}: what it costs");
    let may_bring = if money.has_income { ", and what it may bring" } else { "" };
    let mut page = page_head(&title, &[UPRIGHT, STYLE], &format!("{title}{may_bring}"));
    put(&mut page, format_args!("<p class=\"caution\">{}</p>", escaped(money.caution)));
    put(
        &mut page,
        format_args!(
            "<p>{:.1} planted hectares of map. All costs: NZ$ {}, NZ$ {} a hectare, over years 0 to {}. At {} % a year \
             that is NZ$ {} now, the same as NZ$ {} a hectare at the end of every year after the first.</p>",
            money.planted_plan_ha,
            dollars(money.cost_nzd),
            dollars(money.cost_nzd_per_ha),
            money.settings.years,
            percent(money.settings.discount_rate),
            dollars(money.present_cost_nzd),
            dollars(money.equal_yearly_cost_nzd_per_ha)
        ),
    );
    stages(&mut page, money);
    cases(&mut page, money);
    put(&mut page, format_args!("<h2>Cash up to the end of each year, NZ$</h2>"));
    page += &cumulative(&money.cash_flow);
    put(
        &mut page,
        format_args!(
            "<p class=\"note\">Thick line: everything at its middle. Band: everything at its low end at once (short \
             dashes) to everything at its high end at once (long dashes); costs lie {} % off either way.</p>",
            percent(money.settings.cost_spread)
        ),
    );
    sensitivity(&mut page, money);
    zones(&mut page, money);
    page += "<h2>What was taken for granted</h2>\n<ul>\n";
    for note in &money.notes {
        put(&mut page, format_args!("<li>{}</li>", escaped(note)));
    }
    for taken in &money.defaults {
        let [key, value, source] =
            [&taken.key, &taken.value, &taken.source].map(|one| escaped(one));
        put(&mut page, format_args!("<li>{key} = {value}, not given: {source}</li>"));
    }
    page += "</ul>\n<h2>Before anything is decided</h2>\n<ul>\n";
    for caution in &money.cautions {
        put(&mut page, format_args!("{}", caution.item()));
    }
    page + "</ul>\n" + PAGE_END
}

/// A share in per cent, with as many decimals as it has, at most two.
pub(super) fn percent(share: f64) -> String {
    let text = format!("{:.2}", share * 100.0);
    text.trim_end_matches('0').trim_end_matches('.').replace('-', "−")
}

fn stages(page: &mut String, money: &Money) {
    page.push_str(
        "<h2>Costs by stage</h2>\n<table><thead><tr><th>stage</th><th class=\"n\">NZ$</th><th class=\"n\">NZ$/ha</th>\
         <th class=\"n\">share</th></tr></thead><tbody>\n",
    );
    let line = |page: &mut String, name: &str, nzd: f64| {
        put(
            page,
            format_args!(
                "<tr><td>{name}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{:.0} %</td></tr>",
                dollars(nzd),
                dollars(nzd / money.planted_plan_ha),
                nzd / money.cost_nzd.max(0.01) * 100.0
            ),
        );
    };
    for row in &money.stages {
        line(page, row.stage, row.cost_nzd);
    }
    line(page, "<b>all</b>", money.cost_nzd);
    page.push_str("</tbody></table>\n");
}

fn cases(page: &mut String, money: &Money) {
    if !money.has_income {
        page.push_str("<p><b>No income was given and none is assumed.</b></p>\n");
        return;
    }
    page.push_str(
        "<h2>With your own tables of income</h2>\n<table><thead><tr><th>everything at its</th>\
         <th class=\"n\">all cash, NZ$</th><th class=\"n\">net present value, NZ$</th><th class=\"n\">NZ$/ha</th>\
         <th class=\"n\">internal rate of return</th><th class=\"n\">in front from year</th></tr></thead><tbody>\n",
    );
    for row in &money.cases {
        put(
            page,
            format_args!(
                "<tr><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td>\
                 <td class=\"n\">{}</td><td class=\"n\">{}</td></tr>",
                row.case,
                dollars(row.total_nzd),
                dollars(row.npv_nzd),
                dollars(row.npv_nzd_per_ha),
                rates_words(&row.internal_rates),
                row.pays_back_year.map_or_else(|| "never".to_owned(), |year| year.to_string())
            ),
        );
    }
    page.push_str("</tbody></table>\n");
}

/// The internal rates in words.
pub(super) fn rates_words(rates: &[f64]) -> String {
    let one = |rate: &f64| format!("{} %", percent(*rate));
    match rates {
        [] => "none".to_owned(),
        [rate] => one(rate),
        several => {
            let all: Vec<String> = several.iter().map(one).collect();
            format!("several: {}", all.join(", "))
        }
    }
}

fn sensitivity(page: &mut String, money: &Money) {
    let middle = money.cases.iter().find(|row| row.case == "middle");
    let middle = middle.map_or(-money.present_cost_nzd, |row| row.npv_nzd);
    page.push_str("<h2>What moves the net present value, NZ$</h2>\n");
    page.push_str(&swings(&money.sensitivity, middle));
    page.push_str(
        "<p class=\"note\">One figure is moved at a time, from its low end (open bar) to its high end (filled bar), all \
         others at their middles; figures that move together in life are not caught. The line is the middle.</p>\n\
         <table><thead><tr><th>figure</th><th class=\"n\">low</th><th class=\"n\">middle</th><th class=\"n\">high</th>\
         <th>unit</th><th class=\"n\">value at low</th><th class=\"n\">value at high</th><th class=\"n\">breaks even at</th>\
         </tr></thead><tbody>\n",
    );
    for row in &money.sensitivity {
        driver(page, row);
    }
    page.push_str("</tbody></table>\n");
}

fn driver(page: &mut String, row: &SensitivityRow) {
    let number = |value: Option<f64>| value.map_or_else(|| "–".to_owned(), digits);
    put(
        page,
        format_args!(
            "<tr><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td>{}</td>\
             <td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>",
            escaped(&row.driver),
            number(row.low),
            number(Some(row.middle)),
            number(row.high),
            row.unit,
            dollars(row.npv_low_nzd),
            dollars(row.npv_high_nzd),
            number(row.break_even)
        ),
    );
}

/// A figure with at most four decimals.
pub(super) fn digits(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn zones(page: &mut String, money: &Money) {
    page.push_str(
        "<h2>Costs by zone</h2>\n<table><thead><tr><th>zone</th><th class=\"n\">planted, map ha</th>\
         <th class=\"n\">NZ$</th><th class=\"n\">NZ$/ha</th></tr></thead><tbody>\n",
    );
    for row in &money.zones {
        let per_ha = if row.planted_plan_ha > 0.0 {
            dollars(row.cost_nzd / row.planted_plan_ha)
        } else {
            "–".to_owned()
        };
        put(
            page,
            format_args!(
                "<tr><td>{}</td><td class=\"n\">{:.2}</td><td class=\"n\">{}</td><td class=\"n\">{per_ha}</td></tr>",
                escaped(&row.zone_id),
                row.planted_plan_ha,
                dollars(row.cost_nzd)
            ),
        );
    }
    page.push_str("</tbody></table>\n");
}
