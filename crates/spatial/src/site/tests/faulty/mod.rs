//! Faulty texts: each ends in the expected problem, at the expected place, with a remedy.

mod keys;
mod layers;
mod rules;
mod values;
mod whole;

use super::{LEAST, in_full, read};

/// A text with one fault: `(change, place, item, part of found, part of expected, part of remedy)`.
struct Fault {
    text: String,
    place: (usize, usize),
    item: &'static str,
    says: [&'static str; 3],
}

/// The least site with a line put in its place, or with lines after it (which begin at line 16).
fn with(line: &str, instead: &str) -> String {
    assert!(line.is_empty() || LEAST.contains(line), "{line}");
    if line.is_empty() { format!("{LEAST}{instead}\n") } else { LEAST.replacen(line, instead, 1) }
}

fn fault(
    (line, instead): (&str, &str),
    place: (usize, usize),
    item: &'static str,
    says: [&'static str; 3],
) -> Fault {
    Fault { text: with(line, instead), place, item, says }
}

fn assert_found(faults: Vec<Fault>) {
    assert!(!faults.is_empty());
    for fault in faults {
        let problems = match read(&fault.text) {
            Ok((_, warnings)) => warnings,
            Err(problems) => problems,
        };
        let all = in_full(&problems);
        assert_eq!(problems.len(), 1, "{}\n{all}", fault.text);
        let problem = &problems[0];
        assert_eq!(problem.item, fault.item, "{all}");
        assert_eq!(problem.place, Some(fault.place), "{all}");
        let said = [&problem.found, &problem.expected, &problem.remedy];
        for (said, part) in said.into_iter().zip(fault.says) {
            assert!(said.contains(part), "`{part}` is not in:\n{all}");
        }
    }
}

/// A cover layer with one class, `code = 1` at line 18, `name` at 19, `treatment` at 20.
const COVER: &str = "[layers.cover]\nfile = \"cover.tif\"\n[[layers.cover.class]]\ncode = 1\nname = \"pasture\"\ntreatment = \"plant\"\n";

fn cover(
    (line, instead): (&str, &str),
    place: (usize, usize),
    item: &'static str,
    says: [&'static str; 3],
) -> Fault {
    assert!(line.is_empty() || COVER.contains(line));
    let cover = if line.is_empty() {
        format!("{COVER}{instead}")
    } else {
        COVER.replacen(line, instead, 1)
    };
    Fault { text: format!("{LEAST}{cover}\n"), place, item, says }
}
