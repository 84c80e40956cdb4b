//! Months, windows and calendars worked out by hand, at their edges.
#![allow(clippy::unwrap_used, reason = "a test that stops has failed")]

use almanac::{
    Date, Event, Hemisphere, Month, MonthFault, Task, Window, calendar_text, schedule, slip,
};

const fn month(year: i32, month: u8) -> Month {
    Month { year, month }
}

fn task(months: u32, after: &[(usize, u32)]) -> Task {
    Task {
        id: String::new(),
        window: None,
        not_before: None,
        due: None,
        months,
        after: after.to_vec(),
    }
}

#[test]
fn the_equator_counts_as_south() {
    let of = Hemisphere::of_latitude_deg;
    assert_eq!(
        [-41.0, 0.0, 0.1].map(of),
        [Hemisphere::South, Hemisphere::South, Hemisphere::North]
    );
    assert_eq!((Hemisphere::South.shift(), Hemisphere::North.shift()), (0, 6));
    // Seasons half a year apart: January to December as July to June.
    let north: Vec<u8> = (1..=12).map(|southern| Hemisphere::North.month(southern)).collect();
    assert_eq!(north, [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6]);
    assert!((1..=12).all(|southern| Hemisphere::South.month(southern) == southern));
}

#[test]
fn months_are_read_from_four_and_two_digits_alone() {
    for (text, read) in
        [("1900-01", month(1900, 1)), ("2027-10", month(2027, 10)), ("2300-12", month(2300, 12))]
    {
        assert_eq!(text.parse(), Ok(read));
    }
    for text in [
        "",
        "2027",
        "2027-",
        "-03",
        "2027-00",
        "2027-13",
        "1899-12",
        "2301-01",
        "2027-3",
        "27-03",
        "2027-003",
        "02027-03",
        "2027/03",
        "+202-03",
        "2027-+3",
        "20a7-03",
        "2027-a3",
        "2027-03-01",
    ] {
        assert_eq!(text.parse::<Month>(), Err(MonthFault), "{text}");
    }
    assert!(MonthFault.to_string().contains("2027-03"), "it shows what a month looks like");
}

#[test]
fn months_are_written_by_name() {
    let names: Vec<String> = (0..=13).map(|at| month(2027, at).to_string()).collect();
    let expected = "? Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec ?";
    assert!(
        names.iter().zip(expected.split(' ')).all(|(name, word)| *name == format!("{word} 2027"))
    );
}

/// Years that no number holds stay at the last one.
#[test]
fn months_stop_at_the_last_year_that_a_number_holds() {
    assert_eq!(month(i32::MAX, 12).plus(1).year, i32::MAX);
    assert_eq!(month(i32::MIN, 1).plus(-1).year, i32::MIN);
    assert_eq!(month(i32::MAX, 1).since(month(i32::MIN, 1)), i32::MAX);
    assert_eq!(month(i32::MIN, 1).since(month(i32::MAX, 1)), i32::MIN);
    assert_eq!(month(2027, 2).since(month(2025, 11)), 15);
    assert_eq!(month(0, 1).plus(-1), month(-1, 12));
}

#[test]
fn a_window_holds_its_first_and_last_month_and_may_go_over_the_new_year() {
    let held = |from, to| (1..=12).filter(|at| Window { from, to }.holds(*at)).collect::<Vec<u8>>();
    assert_eq!(held(6, 9), [6, 7, 8, 9]);
    assert_eq!(held(11, 2), [1, 2, 11, 12]);
    assert_eq!(held(5, 5), [5]);
    assert_eq!(held(6, 5), (1..=12).collect::<Vec<u8>>());
}

#[test]
fn the_next_and_the_last_month_of_a_window() {
    let winter = Window { from: 6, to: 9 };
    assert_eq!(winter.next(month(2026, 10)), month(2027, 6));
    assert_eq!(winter.next(month(2026, 9)), month(2026, 9));
    assert_eq!(winter.last(month(2026, 5)), month(2025, 9));
    assert_eq!(winter.last(month(2026, 6)), month(2026, 6));
    // One month a year, just missed: eleven months.
    let may = Window { from: 5, to: 5 };
    assert_eq!(may.next(month(2026, 6)), month(2027, 5));
    assert_eq!(may.last(month(2026, 4)), month(2025, 5));
    let windowed = Task { window: Some(may), ..task(1, &[]) };
    assert_eq!(windowed.first_from(month(2026, 6)), month(2027, 5));
    assert_eq!(windowed.last_to(month(2026, 4)), month(2025, 5));
    assert_eq!(task(1, &[]).first_from(month(2026, 6)), month(2026, 6));
    assert_eq!(task(1, &[]).last_to(month(2026, 6)), month(2026, 6));
}

#[test]
fn a_task_takes_a_month_at_least_and_its_wait_fits_a_number() {
    assert_eq!([task(0, &[]), task(1, &[]), task(3, &[])].map(|one| one.then(2)), [3, 3, 5]);
    assert_eq!(task(u32::MAX, &[]).then(u32::MAX), i32::MAX);
}

/// Begun in January 2026, two months, one month off, then one month: April. Due in May and July, so one month of slack for
/// both.
#[test]
fn slack_is_counted_from_what_is_due() {
    let due = |month: Month, one: Task| Task { due: Some(month), ..one };
    let tasks =
        [due(month(2026, 7), task(2, &[])), due(month(2026, 5), task(1, &[(0, 1)])), task(4, &[])];
    let found = schedule(&tasks, month(2026, 1)).unwrap();
    let begins: Vec<_> = found.placed.iter().map(|one| (one.earliest, one.latest)).collect();
    let expected = [
        (month(2026, 1), month(2026, 2)),
        (month(2026, 4), month(2026, 5)),
        (month(2026, 1), month(2026, 4)),
    ];
    assert_eq!(begins, expected);
    assert!(found.placed.iter().all(|one| !one.critical));
    // All have slack: the way to the last to end among those with the least of it.
    assert_eq!(found.critical_path, [0, 1]);
}

/// Of two ways to the last task, that which holds it up; of two equal ones, the first given.
#[test]
fn the_critical_path_goes_back_over_what_held_each_task_up() {
    let path = |lags: [u32; 2]| {
        let tasks = [task(1, &[]), task(2, &[]), task(1, &[(0, lags[0]), (1, lags[1])])];
        schedule(&tasks, month(2026, 1)).unwrap().critical_path
    };
    assert_eq!(path([0, 3]), [1, 2]);
    assert_eq!(path([3, 0]), [0, 2]);
    assert_eq!(path([2, 1]), [0, 2]);
    // Two that end together: the first given ends the path.
    assert_eq!(schedule(&[task(2, &[]), task(2, &[])], month(2026, 1)).unwrap().critical_path, [0]);
    let longer = [task(1, &[]), task(2, &[])];
    assert_eq!(schedule(&longer, month(2026, 1)).unwrap().critical_path, [1]);
}

#[test]
fn nothing_slips_before_what_is_late() {
    let tasks = [task(1, &[]), task(2, &[(0, 0)]), task(1, &[])];
    let slipped = slip(&tasks, month(2026, 1), 1, 3).unwrap();
    let told: Vec<_> =
        slipped.iter().map(|one| (one.task, one.was, one.now, one.months())).collect();
    assert_eq!(told, [(1, month(2026, 2), month(2026, 5), 3)]);
    assert!(slip(&tasks, month(2026, 1), 9, 3).unwrap().is_empty());
}

fn day(year: i32, of_month: u8, day: u8) -> Date {
    Date { month: month(year, of_month), day }
}

fn event(summary: &str, description: &str) -> Event {
    Event {
        uid: "sow@fold".to_owned(),
        summary: summary.to_owned(),
        description: description.to_owned(),
        begins: Date::first_of(month(2027, 6)),
        ends: day(2027, 10, 31),
        categories: Vec::new(),
        after: Vec::new(),
    }
}

fn lines(stamp: Date, events: &[Event]) -> Vec<String> {
    let text = calendar_text("Fold", "-//demo//EN", stamp, events);
    text.split_terminator("\r\n").map(str::to_owned).collect()
}

/// Line by line as RFC 5545 asks (3.4, 3.6.1, 3.8).
#[test]
fn a_calendar_has_the_lines_that_the_standard_asks_for() {
    let whole = Event {
        categories: vec!["crew".to_owned(), "a,b".to_owned()],
        after: vec!["order@fold".to_owned()],
        ..event("Sow", "Beds; trays")
    };
    let expected = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//demo//EN",
        "CALSCALE:GREGORIAN",
        "X-WR-CALNAME:Fold",
        "BEGIN:VEVENT",
        "UID:sow@fold",
        "DTSTAMP:20260102T000000Z",
        "DTSTART;VALUE=DATE:20270601",
        "DTEND;VALUE=DATE:20271031",
        "SUMMARY:Sow",
        "DESCRIPTION:Beds\\; trays",
        "CATEGORIES:crew,a\\,b",
        "RELATED-TO;RELTYPE=PARENT:order@fold",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
        "END:VCALENDAR",
    ];
    assert_eq!(lines(day(2026, 1, 2), &[whole]), expected);
    // What is empty is left out.
    let short = lines(day(2026, 1, 2), &[event("Sow", "")]);
    assert_eq!(short.len(), expected.len() - 3);
}

#[test]
fn years_are_written_with_four_digits() {
    let stamped = |year: i32| lines(day(year, 3, 4), &[event("", "")])[7].clone();
    assert_eq!(stamped(987), "DTSTAMP:09870304T000000Z");
    assert_eq!(stamped(-1), "DTSTAMP:00000304T000000Z");
    assert_eq!(stamped(12_345), "DTSTAMP:99990304T000000Z");
}

/// `SUMMARY:` takes 8 of 75 octets: 67 more fit, the next begins a line after a blank, which takes one octet too.
#[test]
fn lines_are_folded_after_75_octets_and_never_within_a_letter() {
    let folded = |summary: &str| {
        let all = lines(day(2026, 1, 1), &[event(summary, "")]);
        all[10..all.len() - 3].to_vec()
    };
    let a = |count: usize| "a".repeat(count);
    assert_eq!(folded(&a(67)), [format!("SUMMARY:{}", a(67))]);
    assert_eq!(folded(&a(68)), [format!("SUMMARY:{}", a(67)), " a".to_owned()]);
    let twice = [format!("SUMMARY:{}", a(67)), format!(" {}", a(74)), " a".to_owned()];
    assert_eq!(folded(&a(67 + 74)), twice[..2]);
    assert_eq!(folded(&a(67 + 75)), twice);
    // Of two octets: 66 and one more would be 76.
    assert_eq!(folded(&format!("{}ā", a(66))), [format!("SUMMARY:{}", a(66)), " ā".to_owned()]);
    assert_eq!(folded(&format!("{}ā", a(65))), [format!("SUMMARY:{}ā", a(65))]);
}

/// RFC 5545, 3.3.11.
#[test]
fn words_are_escaped() {
    let written = |summary: &str| lines(day(2026, 1, 1), &[event(summary, "")])[10].clone();
    assert_eq!(written("a\\b;c,d:e"), "SUMMARY:a\\\\b\\;c\\,d:e");
    assert_eq!(written("a\nb\r\nc\rd"), "SUMMARY:a\\nb\\nc\\nd");
    assert_eq!(written("a\tb\u{7}c\u{7f}d"), "SUMMARY:a\tb c d");
}
