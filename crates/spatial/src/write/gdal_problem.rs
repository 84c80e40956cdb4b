//! What GDAL says, as a problem that names the file.

use std::path::Path;

use gdal::errors::GdalError;

use crate::problem::Problem;

/// A step on a file that GDAL refused.
pub(crate) fn gdal_problem(path: &Path, step: &str, error: &GdalError) -> Problem {
    Problem::error(step)
        .file(path)
        .found(said(error))
        .expected("a file that can be written and read back")
        .remedy("see that there is room on the disk and that the folder can be written")
}

/// GDAL's own words without the wrapping.
fn said(error: &GdalError) -> String {
    match error {
        GdalError::CplError { msg, .. } | GdalError::NullPointer { msg, .. } if !msg.is_empty() => {
            msg.clone()
        }
        GdalError::FfiNulError(_) => "a text with a zero byte in it".to_owned(),
        other => other.to_string(),
    }
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
