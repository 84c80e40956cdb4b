//! `[eligibility]`: against which rule sets planted ground is held.

use std::path::{Path, PathBuf};

use super::fault::Fault;
use super::report::Report;
use super::section::Section;

/// Against which rule sets planted ground is held.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct EligibilityRules {
    /// Rule files; `None`: those that come with the program.
    pub rules: Option<Vec<PathBuf>>,
}

/// Reads `[eligibility]`.
pub(super) fn read(root: &Section<'_>, folder: &Path, report: &mut Report<'_>) -> EligibilityRules {
    let section = root.child("eligibility");
    let named: Vec<PathBuf> =
        section.words("rules").into_iter().map(|file| folder.join(file)).collect();
    let is_given = section.get("rules").is_some();
    if is_given && named.is_empty() {
        let fault = Fault::new(
            "at least one rule file",
            "name one, or take the key out: the rule sets that come with the program are then used",
        );
        report.error(&section.path_of("rules"), section.span_of("rules"), fault);
    }
    EligibilityRules { rules: is_given.then_some(named) }
}
