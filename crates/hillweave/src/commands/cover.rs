//! `hillweave cover`: whether steep ground will be protected, from when, and what would mend it.

use spatial::checks::cover::{
    CoverAsked, CoverCheck, CoverGround, PieceRow, PlantedBy, YearRow, check_cover, write_cover,
};
use spatial::pipeline::Stage;
use spatial::site::Measure;

use super::check::defaults_list;
use super::ground::raster_options;
use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::{Progress, timings_table};
use crate::screen::{Ink, Screen, columns, counted, put_line};

/// Pieces that are told on the screen.
const TOLD_PIECES: usize = 8;

/// Checks cover, writes what comes of it and tells it.
pub(crate) fn run(options: &arguments::Cover, screen: &Screen) -> Result<Outcome, Stop> {
    begin(options.plan.as_deref(), &options.output, options.overwrite)?;
    let mut progress = Progress::new(Stage::ALL.len() + 2, screen);
    let asked = CoverAsked {
        ground: ground(options),
        measure: options.measure.map(measure),
        target: options.target,
        by_years: options.by_years.map(i32::from),
    };
    let checked = check_cover(&asked, &mut |stage| progress.enter(stage))?;
    progress.enter(Stage::Write.name());
    let written = write_cover(&checked, &options.output, options.overwrite)?;
    let stages = progress.finish();
    if options.timings {
        screen.talk(&timings_table(&stages));
    }
    let check = &checked.check;
    let target = ("cover", options.output.as_path());
    tell(screen, check, &words(check, screen), target, &written)?;
    let is_sound = check.below_plan_ha.0 <= 0.0 && check.warnings.is_empty();
    Ok(if is_sound { Outcome::Done } else { Outcome::Findings })
}

fn ground(options: &arguments::Cover) -> CoverGround<'_> {
    match (&options.site, &options.elevation) {
        (Some(site), _) if options.unplanted => CoverGround::Unplanted(site),
        (Some(site), _) => CoverGround::Site(site, options.plan.as_deref()),
        (None, elevation) => {
            let raster = raster_options(&options.raster);
            let file = elevation.as_deref().unwrap_or(std::path::Path::new(""));
            CoverGround::Elevation(file, raster, options.protected.as_deref())
        }
    }
}

fn measure(asked: arguments::CoverMeasure) -> Measure {
    Measure::ALL[asked as usize]
}

/// The check in words.
fn words(check: &CoverCheck, screen: &Screen) -> String {
    let mut text = format!(
        "{}: {:.1} ha of map, {:.1} ha of it may slip\n",
        screen.ink(Ink::Strong, &check.site),
        check.plan_ha.0,
        check.may_slip_plan_ha.0,
    );
    let planted = match check.planted {
        PlantedBy::Plan => "the plan",
        PlantedBy::Nothing => "the ground as it is: nothing is planted",
    };
    put_line(&mut text, "held", planted);
    let target = format!(
        "{:.0} % protected on every piece that may slip, by {}; reckoned by `{}`",
        check.target * 100.0,
        check.target_year_words(),
        check.measure
    );
    put_line(&mut text, "target", &target);
    text.push_str(&table(check));
    put_line(&mut text, "verdict", &verdict(check));
    if let Some(ratio) = check.soil_loss_ratio {
        let words = format!(
            "sheet and rill wash about {:.0} % of today's by then (RUSLE); of slips it says nothing",
            ratio * 100.0
        );
        put_line(&mut text, "second", &words);
    }
    for piece in check.pieces.iter().take(TOLD_PIECES) {
        put_line(&mut text, &piece.piece_id, &piece_words(piece));
    }
    if check.pieces.len() > TOLD_PIECES {
        let rest = counted(check.pieces.len() - TOLD_PIECES, "smaller piece");
        put_line(&mut text, "", &format!("{rest} in cover_pieces.csv"));
    }
    for caution in &check.cautions {
        put_line(&mut text, "caution", &format!("{}: {}", caution.about, caution.text));
    }
    if !check.defaults.is_empty() {
        text.push_str(&defaults_list(&check.defaults));
    }
    text + &screen.to_look_at(&check.warnings)
}

fn verdict(check: &CoverCheck) -> String {
    if check.below_plan_ha.0 <= 0.0 {
        return "all ground that may slip reaches the target".to_owned();
    }
    let small = if check.below_small_plan_ha.0 > 0.0 {
        format!(", and {:.2} ha in pieces too small to draw", check.below_small_plan_ha.0)
    } else {
        String::new()
    };
    format!(
        "{:.1} ha below the target in {}{small}; {}",
        check.below_plan_ha.0,
        counted(check.pieces.len(), "piece"),
        check.mending_words()
    )
}

fn piece_words(piece: &PieceRow) -> String {
    let place = piece.lies_in.as_deref().map_or_else(String::new, |place| format!(" in {place}"));
    let reaches = match (piece.reaches_year, piece.reaches_years) {
        (Some(year), _) => format!("reaches it in {year}"),
        (None, Some(years)) => format!("reaches it in year {years}"),
        (None, None) => "does not reach it in 60 years".to_owned(),
    };
    let caution =
        if piece.caution.is_empty() { String::new() } else { format!(" [{}]", piece.caution) };
    format!(
        "{:.2} ha{place}, {:.0}°: {}; {reaches}; {}{caution}",
        piece.plan_area_ha.0, piece.slope_mean_deg, piece.reason, piece.remedy_words
    )
}

/// Ground that may slip by class, today and at the target year.
fn table(check: &CoverCheck) -> String {
    let is_told = |row: &&YearRow| row.may_slip_only && row.measure == check.measure;
    let at = |years: Option<i32>| {
        check.by_year_rows.iter().filter(is_told).filter(move |row| row.years == years)
    };
    let rows: Vec<[String; 6]> = at(None)
        .zip(at(Some(check.by_years)))
        .map(|(now, then)| {
            let percent = |share: f64| format!("{:.0} %", share * 100.0);
            [
                String::new(),
                now.class.replace('_', " "),
                format!("{:.1} ha", now.plan_area_ha.0),
                percent(now.protected_share),
                percent(then.protected_share),
                format!("{:.1} ha", then.below_plan_ha.0),
            ]
        })
        .collect();
    let head = ["", "class", "may slip", "now", "then", "below"].map(str::to_owned);
    let all: Vec<[String; 6]> = std::iter::once(head).chain(rows).collect();
    columns(&all, |at| at < 2)
}
