//! `hillweave eligible`: what tests of schemes and grants the planted ground meets as they are written.

use spatial::checks::eligible::{
    EligibleCheck, PieceRow, Rule, State, Verdict, check_eligible, write_eligible,
};
use spatial::pipeline::Stage;

use super::check::defaults_list;
use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::Progress;
use crate::screen::{Ink, Screen, counted, put_line};

/// Pieces that are told on the screen.
const TOLD_PIECES: usize = 5;

/// Holds a plan against rule sets, writes what comes of it and tells it.
pub(crate) fn run(options: &arguments::Eligible, screen: &Screen) -> Result<Outcome, Stop> {
    begin(options.of.plan.as_deref(), &options.of.output, options.of.overwrite)?;
    let mut progress = Progress::new(Stage::ALL.len(), screen);
    let mut enter = |stage: Stage| progress.enter(stage.name());
    let checked = check_eligible(&options.of.site, options.of.plan.as_deref(), &mut enter)?;
    progress.enter(Stage::Write.name());
    let written = write_eligible(&checked, &options.of.output, options.of.overwrite)?;
    progress.finish();
    let check = &checked.check;
    let target = ("check", options.of.output.as_path());
    tell(screen, check, &words(check, screen), target, &written)?;
    let all_met = check.results.iter().all(|row| row.verdict == Verdict::Meets);
    Ok(if all_met && check.warnings.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// The check in words.
fn words(check: &EligibleCheck, screen: &Screen) -> String {
    let planted: f64 = check.pieces.iter().map(|piece| piece.planted_plan_ha).sum();
    let mut text = format!(
        "{}: {planted:.1} planted hectares of map in {}\n",
        screen.ink(Ink::Strong, &check.site),
        counted(check.pieces.len(), "piece"),
    );
    put_line(&mut text, "no promise", check.caution);
    for rule in &check.rules {
        of_rule(&mut text, rule, check);
    }
    for caution in &check.cautions {
        put_line(&mut text, "caution", &format!("{}: {}", caution.about, caution.text));
    }
    if !check.defaults.is_empty() {
        text.push_str(&defaults_list(&check.defaults));
    }
    text + &screen.to_look_at(&check.warnings)
}

fn of_rule(text: &mut String, rule: &Rule, check: &EligibleCheck) {
    let closed = match rule.state {
        State::Closed => "; closed: a pattern only",
        State::InForce => "",
    };
    let name = format!("{} ({}){closed}", rule.name, rule.jurisdiction);
    text.push('\n');
    put_line(text, "rule set", &name);
    let source = &rule.source;
    put_line(text, "source", &format!("{}, {}: {}", source.author, source.date, source.title));
    let hectares = |is: fn(&PieceRow) -> &[String]| {
        let one = |piece: &&PieceRow| is(piece).contains(&rule.rule_id);
        let (count, sum) = check
            .pieces
            .iter()
            .filter(one)
            .fold((0, 0.0), |(count, sum), piece| (count + 1, sum + piece.planted_plan_ha));
        format!("{} with {sum:.1} ha", counted(count, "piece"))
    };
    let all = format!(
        "meets the tests as written: {}; does not: {}; cannot be told: {}",
        hectares(|piece| &piece.meets),
        hectares(|piece| &piece.does_not_meet),
        hectares(|piece| &piece.cannot_be_told),
    );
    put_line(text, "all", &all);
    for piece in check.pieces.iter().take(TOLD_PIECES) {
        let mine = |row: &&spatial::checks::eligible::ResultRow| {
            row.piece_id == piece.piece_id && row.rule_id == rule.rule_id
        };
        for (at, row) in check.results.iter().filter(mine).enumerate() {
            put_line(text, if at == 0 { &piece.piece_id } else { "" }, &row.words);
        }
    }
    if check.pieces.len() > TOLD_PIECES {
        let rest = counted(check.pieces.len() - TOLD_PIECES, "smaller piece");
        put_line(text, "", &format!("{rest} in eligible.csv"));
    }
    for ask in &rule.ask {
        put_line(text, "ask", ask);
    }
    put_line(text, "check with", &rule.check_with);
}
