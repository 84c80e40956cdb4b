//! The place of the table in the documentation.

use std::fs;

use crate::repository;
use crate::stop::Stop;

const PAGE: &str = "docs/performance.md";
const BEGIN: &str = "<!-- made by `cargo xtask race --write` -->";
const END: &str = "<!-- end of what it made -->";

/// Puts the table where the last one was, or at the end of the page.
pub(crate) fn write(report: &str) -> Result<(), Stop> {
    let file = repository::root().join(PAGE);
    let page = fs::read_to_string(&file).unwrap_or_else(|_| "# Speed, measured\n".to_owned());
    repository::write(&file, &replaced(&page, report))
}

fn replaced(page: &str, report: &str) -> String {
    let made = format!("{BEGIN}\n\n{report}\n\n{END}");
    let old = page
        .split_once(BEGIN)
        .and_then(|(before, rest)| rest.split_once(END).map(|(_, after)| (before, after)));
    match old {
        Some((before, after)) => format!("{before}{made}{after}"),
        None => format!("{}\n\n{made}\n", page.trim_end()),
    }
}

#[cfg(test)]
mod tests {
    use super::replaced;

    #[test]
    fn what_people_wrote_around_it_stays() {
        let first = replaced("# Speed\n\nWhy.\n", "one");
        assert!(first.starts_with("# Speed\n\nWhy.\n\n<!--") && first.contains("\n\none\n\n"));
        let edited = format!("{first}\nAfter.\n");
        let second = replaced(&edited, "two");
        assert!(second.contains("two") && !second.contains("one"));
        assert!(second.starts_with("# Speed\n\nWhy.\n") && second.ends_with("\nAfter.\n"));
    }
}
