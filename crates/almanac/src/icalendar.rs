//! Calendars as text after RFC 5545 (Internet Calendaring and Scheduling Core Object Specification, 2009).
//!
//! The same events make the same bytes: names of events are the caller's, and the stamp is a date that is given,
//! not the time of the run.

use std::fmt::Write;

use crate::Month;

/// A day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    /// The month.
    pub month: Month,
    /// 1 to 31.
    pub day: u8,
}

impl Date {
    /// The first day of a month.
    #[must_use]
    pub fn first_of(month: Month) -> Self {
        Self { month, day: 1 }
    }
}

/// An event of whole days.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// Its name in the world, the same each time it is written: `task@place`.
    pub uid: String,
    /// What it is.
    pub summary: String,
    /// More about it; may have several lines.
    pub description: String,
    /// First day.
    pub begins: Date,
    /// The day after the last.
    pub ends: Date,
    /// Who does it, and other words to sort by.
    pub categories: Vec<String>,
    /// Names of events that come before it.
    pub after: Vec<String>,
}

/// Longest line, octets, its end not counted (RFC 5545, 3.1).
const LONGEST: usize = 75;

/// Writes a calendar. `stamp`: the date that events are stamped with. Years are those of four digits: earlier and
/// later ones are written as the first or last of them.
#[must_use]
pub fn calendar_text(name: &str, product: &str, stamp: Date, events: &[Event]) -> String {
    let mut text = String::new();
    line(&mut text, "BEGIN:VCALENDAR");
    line(&mut text, "VERSION:2.0");
    line(&mut text, &format!("PRODID:{}", escaped(product)));
    line(&mut text, "CALSCALE:GREGORIAN");
    line(&mut text, &format!("X-WR-CALNAME:{}", escaped(name)));
    for event in events {
        one(&mut text, stamp, event);
    }
    line(&mut text, "END:VCALENDAR");
    text
}

fn one(text: &mut String, stamp: Date, event: &Event) {
    line(text, "BEGIN:VEVENT");
    line(text, &format!("UID:{}", escaped(&event.uid)));
    line(text, &format!("DTSTAMP:{}T000000Z", digits(stamp)));
    line(text, &format!("DTSTART;VALUE=DATE:{}", digits(event.begins)));
    line(text, &format!("DTEND;VALUE=DATE:{}", digits(event.ends)));
    line(text, &format!("SUMMARY:{}", escaped(&event.summary)));
    if !event.description.is_empty() {
        line(text, &format!("DESCRIPTION:{}", escaped(&event.description)));
    }
    if !event.categories.is_empty() {
        let words: Vec<String> = event.categories.iter().map(|one| escaped(one)).collect();
        line(text, &format!("CATEGORIES:{}", words.join(",")));
    }
    // The event is a child of those that it waits for (3.2.15: the value names the parent).
    for before in &event.after {
        line(text, &format!("RELATED-TO;RELTYPE=PARENT:{}", escaped(before)));
    }
    line(text, "TRANSP:TRANSPARENT");
    line(text, "END:VEVENT");
}

fn digits(date: Date) -> String {
    let year = date.month.year.clamp(0, 9_999);
    format!("{year:04}{:02}{:02}", date.month.month, date.day)
}

/// A text value: backslash, semicolon, comma and line ends escaped (3.3.11); other control characters, which may not
/// stand in a text, become blanks.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text.chars().peekable();
    while let Some(letter) = rest.next() {
        match letter {
            '\\' | ';' | ',' => out.extend(['\\', letter]),
            '\r' if rest.peek() == Some(&'\n') => {}
            '\n' | '\r' => out.push_str("\\n"),
            '\t' => out.push('\t'),
            control if control.is_control() => out.push(' '),
            other => out.push(other),
        }
    }
    out
}

/// Adds a line, folded at no more than 75 octets, never within a letter; lines that go on begin with a blank.
fn line(text: &mut String, content: &str) {
    let mut used = 0;
    for letter in content.chars() {
        if used + letter.len_utf8() > LONGEST {
            text.push_str("\r\n ");
            used = 1;
        }
        text.push(letter);
        used += letter.len_utf8();
    }
    // Writing to a String cannot fail.
    let _ = write!(text, "\r\n");
}
