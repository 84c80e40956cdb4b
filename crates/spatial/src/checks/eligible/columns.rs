//! The columns of the tables of a check against rule sets.

use super::rows::{EligibleCheck, PieceRow, ResultRow};
use crate::write::columns::Column;
use crate::write::{Kind, Value};

type PieceColumn = Column<PieceRow, EligibleCheck>;
type ResultColumn = Column<ResultRow, EligibleCheck>;

const WORDS: (Kind, &str, &str) = (Kind::Text, "", "");
const MAP_HA: (Kind, &str, &str) = (Kind::Real, "ha", "map");
const METRES: (Kind, &str, &str) = (Kind::Real, "m", "map");
const OWN: (Kind, &str, &str) = (Kind::Real, "see measure", "map");
const CAUTION: &str =
    "What goes with every row: nobody is told here that a scheme takes the ground.";

fn list(words: &[String]) -> Value {
    Value::Text(words.join(" "))
}

/// Pieces of planted ground.
#[rustfmt::skip] // a table
pub(crate) static PIECES: [PieceColumn; 11] = [
    PieceColumn::new("piece_id", WORDS, "Name of the piece, unique in the check; the largest is the first.", |p, _| (&p.piece_id).into()),
    PieceColumn::new("zones", WORDS, "Planted zones that it is made of, with blanks between them.", |p, _| list(&p.zones)),
    PieceColumn::new("plan_area_ha", MAP_HA, "Map area of its outline.", |p, _| p.plan_area_ha.into()),
    PieceColumn::new("planted_plan_ha", MAP_HA, "Map area of it that is planted; less where zones are planted in part.", |p, _| p.planted_plan_ha.into()),
    PieceColumn::new("mean_width_m", METRES, "Width of the rectangle with the same area and length of border.", |p, _| p.mean_width_m.into()),
    PieceColumn::new("live_sph", (Kind::Real, "stems/ha", "map"), "Stems expected to live on a planted hectare.", |p, _| p.live_sph.into()),
    PieceColumn::new("lines", WORDS, "Lines that are planted there, the one with the most ground first.", |p, _| list(&p.lines)),
    PieceColumn::new("meets", WORDS, "Rule sets all tests of which it meets as they are written.", |p, _| list(&p.meets)),
    PieceColumn::new("does_not_meet", WORDS, "Rule sets some test of which it does not meet as it is written.", |p, _| list(&p.does_not_meet)),
    PieceColumn::new("cannot_be_told", WORDS, "Rule sets some test of which cannot be told from what is known, and none of which fails.", |p, _| list(&p.cannot_be_told)),
    PieceColumn::new("caution", WORDS, CAUTION, |_, whole| whole.caution.into()),
];

/// Each test on each piece.
#[rustfmt::skip] // a table
pub(crate) static RESULTS: [ResultColumn; 11] = [
    ResultColumn::new("piece_id", WORDS, "The piece.", |r, _| (&r.piece_id).into()),
    ResultColumn::new("rule_id", WORDS, "The rule set: name of its file without the ending.", |r, _| (&r.rule_id).into()),
    ResultColumn::new("test", (Kind::Integer, "", ""), "Position of the test in the rule set, from 1.", |r, _| r.test.into()),
    ResultColumn::new("measure", WORDS, "What is measured: area_ha, mean_width_m, mature_height_m, crown_share, live_sph.", |r, _| r.measure.into()),
    ResultColumn::new("compare", WORDS, "How it is held against `asked`: at_least, more_than, at_most, less_than.", |r, _| r.compare.into()),
    ResultColumn::new("asked", OWN, "What is asked.", |r, _| r.asked.into()),
    ResultColumn::new("found_least", OWN, "The least that may be found; the figure itself where it is known.", |r, _| r.found_least.into()),
    ResultColumn::new("found_most", OWN, "The most that may be found; null where nothing bounds it.", |r, _| r.found_most.into()),
    ResultColumn::new("verdict", WORDS, "meets, does_not_meet or cannot_be_told: the test as it is written, no more.", |r, _| r.verdict.word().into()),
    ResultColumn::new("words", WORDS, "The same in a sentence.", |r, _| (&r.words).into()),
    ResultColumn::new("caution", WORDS, CAUTION, |_, whole| whole.caution.into()),
];
