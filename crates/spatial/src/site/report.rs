//! Problems and defaults gathered while a site is read.

use std::ops::Range;
use std::path::Path;

use crate::faults::Faults;
use crate::problem::{Problem, Severity};

use super::document::Places;
use super::fault::Fault;
use super::keys;
use super::{DefaultTaken, Site};

/// What a reading has come upon so far.
pub(super) struct Report<'t> {
    places: Places<'t>,
    faults: Faults<'t>,
    defaults: Vec<DefaultTaken>,
}

impl<'t> Report<'t> {
    pub(super) fn new(text: &'t str, file: &'t Path) -> Self {
        Self { places: Places::new(text), faults: Faults::new(file), defaults: Vec::new() }
    }

    /// Adds an error about `item`, whose value stands at `span`.
    pub(super) fn error(&mut self, item: &str, span: Range<usize>, fault: Fault) {
        self.add(Severity::Error, item, span, fault);
    }

    /// Adds a warning about `item`, whose value stands at `span`.
    pub(super) fn warning(&mut self, item: &str, span: Range<usize>, fault: Fault) {
        self.add(Severity::Warning, item, span, fault);
    }

    /// Whether no more problems are listed; further ones need only be counted.
    pub(super) fn is_full(&self) -> bool {
        self.faults.is_full()
    }

    /// Counts errors that are not listed.
    pub(super) fn leave_out(&mut self, errors: usize) {
        self.faults.leave_out(errors);
    }

    fn add(&mut self, severity: Severity, item: &str, span: Range<usize>, fault: Fault) {
        if self.is_full() {
            self.leave_out(usize::from(severity == Severity::Error));
            return;
        }
        let span = fault.span.unwrap_or(span);
        let (line, column) = self.places.place(span.start);
        let found = if fault.found.is_empty() { self.places.quote(span) } else { fault.found };
        let problem = Problem::error(format!("{item}{}", fault.suffix))
            .found(found)
            .expected(fault.expected)
            .remedy(fault.remedy);
        self.faults.report(line, column, Problem { severity, ..problem });
    }

    /// Line of a byte of the text, from 1.
    pub(super) fn line(&self, byte: usize) -> usize {
        self.places.place(byte).0
    }

    /// Records that a key was not given and what is used instead.
    pub(super) fn take_default(&mut self, key: &str, value: impl Into<String>) {
        self.defaults.push(taken(key, value));
    }

    /// The site with its warnings, or every problem; both in the order of the text.
    pub(super) fn finish(mut self, site: Site) -> Result<(Site, Vec<Problem>), Vec<Problem>> {
        // What only one command hears is told by that command.
        let mut of_one = |section: &str| {
            let own = |taken: &mut DefaultTaken| taken.key.starts_with(section);
            self.defaults.extract_if(.., own).collect::<Vec<_>>()
        };
        let [seed, cover, money, season, chances] =
            ["seed.", "cover.", "money.", "season.", "chances."].map(&mut of_one);
        let site = Site {
            seed: super::SeedRules { defaults: seed, ..site.seed },
            cover: super::CoverRules { defaults: cover, ..site.cover },
            money: super::MoneyRules { defaults: money, ..site.money },
            chances: super::ChanceRules { defaults: chances, ..site.chances },
            season: super::SeasonRules { defaults: season, ..site.season },
            defaults: self.defaults,
            ..site
        };
        self.faults.in_order().or_warned(site.with_defaults_in_order())
    }
}

/// A value that was used because a key was not given, with where it is from.
fn taken(key: &str, value: impl Into<String>) -> DefaultTaken {
    let source = keys::find(key).map_or("", |key| key.presence.source());
    DefaultTaken { key: key.to_owned(), value: value.into(), source: source.to_owned() }
}

impl Site {
    /// Records what is used for a key that was not given and that no site file can tell alone.
    #[must_use]
    pub(crate) fn with_default(mut self, key: &str, value: Option<String>) -> Self {
        self.defaults.extend(value.map(|value| taken(key, value)));
        self.with_defaults_in_order()
    }

    /// Defaults in the order of the table of keys.
    fn with_defaults_in_order(mut self) -> Self {
        self.defaults.sort_by_key(|taken| keys::KEYS.iter().position(|key| key.path == taken.key));
        self
    }
}
