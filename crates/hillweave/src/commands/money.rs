//! `hillweave money`: what a plan costs, and what the site's own tables say it may bring.

use spatial::money::{CaseRow, Money, SensitivityRow, reckon, write_money};
use spatial::pipeline::Stage;
use spatial::units::thousands;

use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::Progress;
use crate::screen::{Ink, Screen, columns, put_line};

/// Figures of the sensitivity that are told on the screen.
const TOLD_DRIVERS: usize = 5;

/// Reckons the money of a plan, writes it and tells it.
pub(crate) fn run(options: &arguments::Money, screen: &Screen) -> Result<Outcome, Stop> {
    begin(options.of.plan.as_deref(), &options.of.output, options.of.overwrite)?;
    let mut progress = Progress::new(Stage::ALL.len(), screen);
    let mut enter = |stage: Stage| progress.enter(stage.name());
    let money = reckon(&options.of.site, options.of.plan.as_deref(), &mut enter)?;
    progress.enter(Stage::Write.name());
    let written = write_money(&money, &options.of.output, options.of.overwrite)?;
    progress.finish();
    let target = ("money", options.of.output.as_path());
    tell(screen, &money, &words(&money, screen), target, &written)?;
    Ok(if money.warnings.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// The money in words.
fn words(money: &Money, screen: &Screen) -> String {
    let mut text = format!(
        "{}: {:.1} planted hectares of map\n",
        screen.ink(Ink::Strong, &money.site),
        money.planted_plan_ha
    );
    put_line(&mut text, "no promise", money.caution);
    for row in &money.stages {
        put_line(&mut text, row.stage, &format!("NZ$ {}", dollars(row.cost_nzd)));
    }
    let all = format!(
        "NZ$ {}, NZ$ {} a hectare",
        dollars(money.cost_nzd),
        dollars(money.cost_nzd_per_ha)
    );
    put_line(&mut text, "all costs", &all);
    let now = format!(
        "NZ$ {} at {} a year, the same as NZ$ {} a hectare at the end of each of years 1 to {}",
        dollars(money.present_cost_nzd),
        percent(money.settings.discount_rate),
        dollars(money.equal_yearly_cost_nzd_per_ha),
        money.settings.years
    );
    put_line(&mut text, "worth now", &now);
    for case in &money.cases {
        put_line(&mut text, case.case, &case_words(case));
    }
    put_line(&mut text, "moved most", "by one figure at a time, net present value in NZ$:");
    text.push_str(&drivers(&money.sensitivity));
    for note in &money.notes {
        put_line(&mut text, "note", note);
    }
    for taken in &money.defaults {
        put_line(
            &mut text,
            "default",
            &format!("{} = {} ({})", taken.key, taken.value, taken.source),
        );
    }
    for caution in &money.cautions {
        put_line(&mut text, "caution", &format!("{}: {}", caution.about, caution.text));
    }
    text + &screen.to_look_at(&money.warnings)
}

fn case_words(case: &CaseRow) -> String {
    let rates: Vec<String> = case.internal_rates.iter().map(|rate| percent(*rate)).collect();
    let rates = match &rates[..] {
        [] => "no internal rate of return".to_owned(),
        [one] => format!("internal rate of return {one}"),
        several => {
            format!("several internal rates, which say nothing alone: {}", several.join(", "))
        }
    };
    let front = case
        .pays_back_year
        .map_or_else(|| "never in front".to_owned(), |year| format!("in front from year {year}"));
    format!(
        "net present value NZ$ {}, NZ$ {} a hectare; {rates}; {front}",
        dollars(case.npv_nzd),
        dollars(case.npv_nzd_per_ha)
    )
}

fn drivers(rows: &[SensitivityRow]) -> String {
    let told = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), digits);
    let row = |row: &SensitivityRow| {
        [
            row.driver.clone(),
            format!("{} to {}", told(row.low), told(row.high)),
            row.unit.to_owned(),
            dollars(row.npv_low_nzd),
            "to".to_owned(),
            dollars(row.npv_high_nzd),
        ]
    };
    let cells: Vec<[String; 6]> = rows.iter().take(TOLD_DRIVERS).map(row).collect();
    columns(&cells, |at| at < 3).lines().fold(String::new(), |text, line| text + "  " + line + "\n")
}

/// A sum in whole NZ$.
fn dollars(nzd: f64) -> String {
    let text = thousands(nzd.abs().round() as u64);
    if nzd < 0.0 && text != "0" { format!("-{text}") } else { text }
}

fn percent(share: f64) -> String {
    format!("{} %", short(&format!("{:.2}", share * 100.0)))
}

fn digits(value: f64) -> String {
    short(&format!("{value:.3}"))
}

/// Without the noughts at its end.
fn short(text: &str) -> String {
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
