//! Calendars read back: by the library `icalendar` of Python (`tests/outside/almanac.py`), and letter by letter.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

use std::path::Path;
use std::process::Command;

use almanac::{Date, Event, Month, calendar_text};
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use serde_json::{Value, json};

fn day(year: i32, month: u8, day: u8) -> Date {
    Date { month: Month { year, month }, day }
}

fn event(uid: &str, summary: &str, description: &str) -> Event {
    Event {
        uid: uid.to_owned(),
        summary: summary.to_owned(),
        description: description.to_owned(),
        begins: day(2027, 6, 1),
        ends: day(2027, 10, 1),
        categories: vec!["contractors".to_owned(), "ask, first".to_owned()],
        after: vec!["before@fold".to_owned(), "other; too@fold".to_owned()],
    }
}

fn written(events: &[Event]) -> String {
    calendar_text("Kestrel Fold", "-//hillweave//calendar//EN", day(2026, 1, 1), events)
}

/// Lines put together again (RFC 5545, 3.1), each with its name and the text that it stands for (3.3.11).
fn unfolded(text: &str) -> Vec<(String, String)> {
    let whole = text.replace("\r\n ", "");
    let one = |line: &str| {
        let (name, value) = line.split_once(':').unwrap();
        let (mut out, mut letters) = (String::new(), value.chars());
        while let Some(letter) = letters.next() {
            match letter {
                '\\' => match letters.next().unwrap() {
                    'n' => out.push('\n'),
                    other => out.push(other),
                },
                other => out.push(other),
            }
        }
        (name.to_owned(), out)
    };
    whole.split_terminator("\r\n").map(one).collect()
}

proptest! {
    /// Any words come back, lines are no longer than 75 octets, and each ends in CRLF.
    #[test]
    fn any_words_come_back(summary in "[^\\p{Cc}]{0,200}", description in "([^\\p{Cc}]|\n){1,300}") {
        let text = written(&[event("one@fold", &summary, &description)]);
        prop_assert!(text.ends_with("\r\n"));
        for line in text.split_terminator("\r\n") {
            prop_assert!(line.len() <= 75, "{}", line);
            prop_assert!(!line.contains(['\r', '\n']));
        }
        let lines = unfolded(&text);
        let value = |name: &str| lines.iter().find(|(one, _)| one == name).unwrap().1.clone();
        prop_assert_eq!(value("SUMMARY"), summary);
        prop_assert_eq!(value("DESCRIPTION"), description);
    }

    /// Letters that may not stand in a text break no line.
    #[test]
    fn no_words_break_the_file(summary in any::<String>()) {
        let lines = unfolded(&written(&[event("one@fold", &summary, "")]));
        let same = unfolded(&written(&[event("one@fold", "plain", "")]));
        prop_assert!(lines.iter().map(|(name, _)| name).eq(same.iter().map(|(name, _)| name)));
    }
}

fn some_words(random: &mut Pcg64Mcg, most: usize) -> String {
    const LETTERS: [&str; 16] =
        ["a", "B", " ", ",", ";", ":", "\\", "\"", "ā", "°", "–", "𑲩", "\n", "=", "mānuka ", "\\n"];
    let count = random.random_range(0..most);
    (0..count).map(|_| LETTERS[random.random_range(0..LETTERS.len())]).collect()
}

fn some_event(random: &mut Pcg64Mcg, at: usize) -> Event {
    let begins =
        Month { year: random.random_range(1_900..2_200), month: random.random_range(1..13) };
    let word = |random: &mut Pcg64Mcg| format!("w{}", some_words(random, 6).replace('\n', ""));
    Event {
        uid: format!("task-{at}@fold"),
        summary: some_words(random, 90),
        description: some_words(random, 200),
        begins: Date::first_of(begins),
        ends: Date::first_of(begins.plus(random.random_range(1..30))),
        categories: (0..random.random_range(0..4)).map(|_| word(random)).collect(),
        after: (0..random.random_range(0..4)).map(|one| format!("task-{one}@fold")).collect(),
    }
}

fn told(event: &Event) -> Value {
    let day =
        |date: Date| format!("{:04}-{:02}-{:02}", date.month.year, date.month.month, date.day);
    json!({
        "uid": event.uid, "summary": event.summary, "description": event.description,
        "begins": day(event.begins), "ends": day(event.ends), "categories": event.categories,
        "after": event.after,
    })
}

/// Source: `icalendar` 7, a reader of RFC 5545.
#[test]
#[ignore = "needs icalendar: cargo xtask test installs it"]
fn random_calendars_are_read_by_icalendar() {
    let mut random = Pcg64Mcg::seed_from_u64(7);
    let events: Vec<Event> = (0..300).map(|at| some_event(&mut random, at)).collect();
    let folder = std::env::temp_dir().join(format!("hillweave-almanac-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let (calendar, expected) = (folder.join("calendar.ics"), folder.join("events.json"));
    std::fs::write(&calendar, written(&events)).unwrap();
    let told = json!({"stamp": "20260101", "events": events.iter().map(told).collect::<Vec<_>>()});
    std::fs::write(&expected, told.to_string()).unwrap();
    let python = std::env::var_os("HILLWEAVE_PYTHON").expect("run by `cargo xtask test`");
    let checker = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/outside/almanac.py");
    let output =
        Command::new(python).args([&checker, &calendar, &expected]).output().expect("Python runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let faults = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{}\n{said}\n{faults}", folder.display());
    std::fs::remove_dir_all(folder).expect("removed");
}
