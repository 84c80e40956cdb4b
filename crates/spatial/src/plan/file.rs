//! An earlier plan, read back.

use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde::de::DeserializeOwned;

use crate::problem::Problem;
use crate::read::checksum;
use crate::write::{PLAN_JSON, SCHEMA};

/// The record of a plan: of the folder that holds it, or the file itself.
pub(crate) fn plan_file(folder: &Path) -> PathBuf {
    if folder.is_file() { folder.to_path_buf() } else { folder.join(PLAN_JSON) }
}

/// What is asked of the record of a plan, in its folder or the file itself. The file is read once; its version is
/// looked at before its shape.
///
/// # Errors
/// When there is no plan, or it is of another version or shape.
pub(crate) fn read_plan<T: DeserializeOwned>(folder: &Path) -> Result<T, Problem> {
    #[derive(Deserialize)]
    struct Head {
        schema: String,
    }
    let file = plan_file(folder);
    let wrong = |item: &str, found: String, expected: &str| {
        let problem = Problem::error(item).file(&file).found(found).expected(expected);
        problem.remedy("make it again with `hillweave plan`, and change nothing in it by hand")
    };
    let bytes = std::fs::read(&file).map_err(|error| {
        let problem = Problem::error("plan").file(&file).found(error.to_string());
        problem.expected("a plan").remedy("name the folder that `hillweave plan -o DIR` wrote")
    })?;
    let unlike = |error: serde_json::Error| {
        wrong("plan", error.to_string(), "what `hillweave plan` writes")
            .place(error.line(), error.column())
    };
    let head: Head = serde_json::from_slice(&bytes).map_err(unlike)?;
    if head.schema != SCHEMA {
        return Err(wrong("schema", format!("`{}`", head.schema), SCHEMA));
    }
    serde_json::from_slice(&bytes).map_err(unlike)
}

/// The record of a plan as JSON, of the folder that holds it, or the file itself.
///
/// # Errors
/// When there is no plan, or it is of another version.
pub fn record(folder: &Path) -> Result<serde_json::Value, Problem> {
    read_plan(folder)
}

/// SHA-256 of the record of a plan, in its folder or the file itself, hexadecimal.
///
/// # Errors
/// When it cannot be read.
pub fn record_sha256(folder: &Path) -> Result<String, Problem> {
    sum_of(&plan_file(folder))
}

/// SHA-256 of a file, hexadecimal.
pub(crate) fn sum_of(file: &Path) -> Result<String, Problem> {
    checksum(file).map_err(|error| {
        let problem = Problem::error("checksum").file(file).found(error.to_string());
        problem.expected("a file that can be read to its end").remedy("see that the disk is sound")
    })
}
