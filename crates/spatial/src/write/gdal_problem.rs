//! What GDAL says, as a problem that names the file.

use std::ffi::CStr;
use std::path::Path;

use gdal::errors::GdalError;

use crate::problem::Problem;
use crate::read::heeded;

/// A step on a file that GDAL refused.
pub(crate) fn gdal_problem(path: &Path, step: &str, error: &GdalError) -> Problem {
    step_refused(path, step, said(error))
}

/// Takes a step on a file with GDAL, which must neither fail nor say that a part of it did.
pub(super) fn whole_step<T>(
    path: &Path,
    step: &str,
    work: impl FnOnce() -> Result<T, GdalError>,
) -> Result<T, Problem> {
    let (outcome, failure) = heeded(work);
    let done = outcome.map_err(|error| match &failure {
        Some(said) => step_refused(path, step, in_one_line(said)),
        None => gdal_problem(path, step, &error),
    })?;
    failure.map_or(Ok(done), |said| Err(step_refused(path, step, in_one_line(&said))))
}

/// A step on a file that was refused, by whomever.
pub(super) fn step_refused(path: &Path, step: &str, found: String) -> Problem {
    Problem::error(step)
        .file(path)
        .found(found)
        .expected("a file that can be written and read back")
        .remedy("see that there is room on the disk and that the folder can be written")
}

/// GDAL's own words without the wrapping, in one line that fits a screen.
fn said(error: &GdalError) -> String {
    in_one_line(&words(error))
}

fn in_one_line(words: &str) -> String {
    const LONGEST: usize = 200;
    let line = words.split_whitespace().collect::<Vec<_>>().join(" ");
    match line.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}…", line.get(..end).unwrap_or_default()),
        None => line,
    }
}

fn words(error: &GdalError) -> String {
    match error {
        GdalError::CplError { msg, .. } | GdalError::NullPointer { msg, .. } if !msg.is_empty() => {
            msg.clone()
        }
        GdalError::FfiNulError(_) => "a text with a zero byte in it".to_owned(),
        GdalError::OgrError { .. } => last_message().unwrap_or_else(|| error.to_string()),
        other => other.to_string(),
    }
}

/// What GDAL said last on this thread; an OGR error alone is only a number.
#[expect(unsafe_code, reason = "CPLGetLastErrorMsg has no safe binding")]
fn last_message() -> Option<String> {
    // SAFETY: GDAL returns a text that ends in zero, or null, and keeps it until its next message on
    // this thread; it is copied before that.
    let message = unsafe {
        let text = gdal_sys::CPLGetLastErrorMsg();
        if text.is_null() { c"" } else { CStr::from_ptr(text) }.to_string_lossy().into_owned()
    };
    (!message.is_empty()).then_some(message)
}

/// A coordinate system that GDAL does not understand.
pub(crate) fn crs_problem(path: &Path, definition: &str, error: &GdalError) -> Problem {
    let shown: String = definition.chars().take(80).collect();
    Problem::error("coordinate system")
        .file(path)
        .found(format!("`{shown}`: {}", said(error)))
        .expected("`EPSG:code` or WKT")
        .remedy("name the coordinate system of the plan in the site file, such as `EPSG:2193`")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_words_are_cut_to_one_line() {
        let msg = "mānuka\n".repeat(100);
        let error = GdalError::NullPointer { method_name: "GDALCreate", msg };
        let problem = gdal_problem(Path::new("plan.gpkg"), "blocks", &error);
        assert!(problem.found.starts_with("mānuka mānuka ") && problem.found.ends_with('…'));
        assert_eq!(problem.found.chars().count(), 201);
    }
}
