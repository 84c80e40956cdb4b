//! The jobs as events of an iCalendar file.

use almanac::{Date, Event, Month, calendar_text};

use super::rows::{Calendar, TaskRow};

/// What made the file.
const PRODUCT: &str = "-//hillweave//calendar//EN";

/// The file, after RFC 5545. It is stamped with the first day of the month in which work begins, so that the same
/// calendar makes the same bytes.
pub(super) fn text(calendar: &Calendar) -> String {
    let stamp = Date::first_of(month(&calendar.start));
    let place = place_of(&calendar.site);
    let events: Vec<Event> = calendar.tasks.iter().map(|task| event(task, &place)).collect();
    calendar_text(&calendar.site, PRODUCT, stamp, &events)
}

fn event(task: &TaskRow, place: &str) -> Event {
    let uid = |id: &str| format!("{id}@{place}");
    let slack = match task.slack_months {
        late if late < 0 => format!("{} months too late for the winter of the plan", -late),
        0 => "no slack".to_owned(),
        months => format!("{months} months of slack: begin by {}", task.latest),
    };
    let said = [
        slack,
        if task.hands_on.is_empty() {
            String::new()
        } else {
            format!("hands on: {}", task.hands_on)
        },
        if task.caution.is_empty() { String::new() } else { format!("caution: {}", task.caution) },
    ];
    let said: Vec<String> = said.into_iter().filter(|line| !line.is_empty()).collect();
    Event {
        uid: uid(&task.id),
        summary: task.task.clone(),
        description: said.join("\n"),
        begins: Date::first_of(month(&task.earliest)),
        ends: Date::first_of(month(&task.ends).plus(1)),
        categories: task.who.iter().map(|who| (*who).to_owned()).collect(),
        after: task.after.iter().map(|id| uid(id)).collect(),
    }
}

/// A month from `YYYY-MM`, as this program writes it.
pub(super) fn month(text: &str) -> Month {
    let (year, month) = text.rsplit_once('-').unwrap_or((text, "1"));
    Month { year: year.parse().unwrap_or_default(), month: month.parse().unwrap_or(1) }
}

/// The property as the part of a name behind the `@`: letters and digits of ASCII, and what tells two names of
/// other letters apart.
fn place_of(site: &str) -> String {
    let plain: String = site
        .chars()
        .map(
            |letter| if letter.is_ascii_alphanumeric() { letter.to_ascii_lowercase() } else { '-' },
        )
        .collect();
    // FNV-1a, 32 bits: small, and the same everywhere.
    let sum = site
        .bytes()
        .fold(0x811c_9dc5_u32, |sum, byte| (sum ^ u32::from(byte)).wrapping_mul(0x0100_0193));
    format!("{}-{sum:08x}.hillweave", plain.trim_matches('-'))
}
