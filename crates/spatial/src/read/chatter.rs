//! What GDAL says beside its return values: kept off the screen, folded into problems.

use std::cell::RefCell;
use std::sync::Once;

use gdal::errors::CplErrType;

/// One thing GDAL said.
#[derive(Debug, Clone)]
pub(super) struct Remark {
    /// Whether GDAL called it a failure rather than a warning.
    pub(super) failure: bool,
    /// Its words.
    pub(super) text: String,
}

thread_local! {
    /// What was said on this thread since the last [`take`].
    static HEARD: RefCell<Vec<Remark>> = const { RefCell::new(Vec::new()) };
}

/// A file with a fault in each feature must not fill the memory.
const REMARKS_KEPT: usize = 200;

/// Keeps GDAL silent from here on; what it says is heard by [`take`] on the same thread.
pub(crate) fn silence() {
    static ONCE: Once = Once::new();
    // Installed once and never replaced: GDAL may be calling the handler on another thread.
    ONCE.call_once(|| {
        gdal::config::set_error_handler(|class, _number, text| {
            let failure = matches!(class, CplErrType::Failure | CplErrType::Fatal);
            if !failure && class != CplErrType::Warning {
                return;
            }
            HEARD.with(|heard| {
                if let Ok(mut heard) = heard.try_borrow_mut()
                    && heard.len() < REMARKS_KEPT
                {
                    heard.push(Remark { failure, text: text.trim().to_owned() });
                }
            });
        });
    });
}

/// Everything said on this thread since the last call.
pub(super) fn take() -> Vec<Remark> {
    HEARD
        .with(|heard| heard.try_borrow_mut().map(|mut all| std::mem::take(&mut *all)))
        .unwrap_or_default()
}

/// The first failure said since the last call, as text.
pub(super) fn take_failure() -> Option<String> {
    take().into_iter().find(|remark| remark.failure).map(|remark| remark.text)
}

/// Does something with GDAL; where it says that it came about and yet called a step of it a failure, what it said is
/// handed back beside it. A write that fails within is told in no other way.
pub(crate) fn heeded<T>(work: impl FnOnce() -> T) -> (T, Option<String>) {
    silence();
    take();
    let outcome = work();
    (outcome, take_failure())
}

/// The reason of a failed call: what GDAL said about it, or else the error's own words.
pub(super) fn reason(error: &gdal::errors::GdalError) -> String {
    take_failure().filter(|text| !text.is_empty()).unwrap_or_else(|| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_gdal_says_is_heard_and_not_printed() {
        silence();
        take();
        let options = gdal::DatasetOptions {
            open_flags: gdal::GdalOpenFlags::GDAL_OF_VERBOSE_ERROR,
            ..gdal::DatasetOptions::default()
        };
        assert!(gdal::Dataset::open_ex("/nonexistent/file.tif", options).is_err());
        let said = take();
        assert!(said.iter().any(|remark| remark.failure && remark.text.contains("file.tif")));
        assert!(take().is_empty());
    }
}
