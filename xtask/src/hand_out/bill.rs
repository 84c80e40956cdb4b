//! The bill of materials (`CycloneDX` 1.5): every crate in the program, with version and licence.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use super::PROGRAM;
use crate::stop::Stop;
use crate::{cargo, process};

/// Name and version.
type Crates = BTreeSet<(String, String)>;

/// The bill of the program, the same wherever and whenever it is made from the same commit. It is held against what
/// cargo itself says goes into the program.
pub(super) fn of_program(root: &Path) -> Result<String, Stop> {
    let mut command = cargo::command([
        "cyclonedx",
        "--quiet",
        "--format",
        "json",
        "--describe",
        "binaries",
        "--spec-version",
        "1.5",
    ]);
    command.arg("--manifest-path").arg(root.join("crates/hillweave/Cargo.toml"));
    command.env("SOURCE_DATE_EPOCH", date_of_commit(root));
    process::run(&mut command)?;
    // One is written beside each crate that has a program.
    let own = root.join("crates/hillweave/hillweave_bin.cdx.json");
    let chores = root.join("xtask/xtask_bin.cdx.json");
    let bill = fs::read_to_string(&own).map_err(|error| Stop::unusable(own.display(), &error))?;
    for file in [own, chores] {
        fs::remove_file(&file).map_err(|error| Stop::unusable(file.display(), &error))?;
    }
    let bill = bill.replace(&format!("file://{}", root.display()), "file:///hillweave");
    let mut tree = cargo::command(["tree", "--locked", "--prefix", "none", "--package", PROGRAM]);
    tree.args(["--edges", "normal,build"]);
    covers(&in_bill(&bill), &in_tree(&process::capture(&mut tree)?))?;
    Ok(bill)
}

/// Seconds since 1970, or the first of them where there is no history.
fn date_of_commit(root: &Path) -> String {
    let mut log = Command::new("git");
    log.args(["log", "-1", "--format=%ct"]).current_dir(root);
    process::capture(&mut log).map_or_else(|_| "0".to_owned(), |told| told.trim().to_owned())
}

/// What a bill names, by the addresses of its parts.
fn in_bill(bill: &str) -> Crates {
    let parts = bill.split("\"pkg:cargo/").skip(1);
    let named = parts.filter_map(|part| part.split(['"', '?', '#']).next()?.split_once('@'));
    named.map(|(name, version)| (name.to_owned(), version.to_owned())).collect()
}

/// What `cargo tree` names: a crate a line.
fn in_tree(tree: &str) -> Crates {
    let named = tree.lines().filter_map(|line| {
        let mut words = line.split_whitespace();
        Some((words.next()?.to_owned(), words.next()?.strip_prefix('v')?.to_owned()))
    });
    named.collect()
}

/// A bill may name more: crates that a feature which nobody asks for would bring.
fn covers(bill: &Crates, tree: &Crates) -> Result<(), Stop> {
    let list = |crates: Vec<&(String, String)>| {
        let named = crates.iter().map(|(name, version)| format!("{name} {version}"));
        named.collect::<Vec<_>>().join(", ")
    };
    let missing: Vec<_> = tree.difference(bill).collect();
    if missing.is_empty() && !bill.is_empty() {
        return Ok(());
    }
    Err(Stop::finding(format!(
        "the bill of materials lacks what cargo builds: [{}]",
        list(missing)
    )))
}

#[cfg(test)]
mod tests {
    use super::*;

    const BILL: &str = r#"{"purl": "pkg:cargo/one@1.2.3?download_url=file://."},
        {"purl": "pkg:cargo/two@0.1.0-beta.1"}"#;
    const TREE: &str = "one v1.2.3 (/somewhere/one)\ntwo v0.1.0-beta.1 (*)\n\ntwo v0.1.0-beta.1\n";

    #[test]
    fn a_bill_that_names_what_is_built_is_good() {
        assert_eq!(in_bill(BILL).len(), 2);
        assert_eq!(covers(&in_bill(BILL), &in_tree(TREE)), Ok(()));
    }

    #[test]
    fn a_crate_too_few_is_named() {
        let told = |bill: &str, tree: &str| {
            covers(&in_bill(bill), &in_tree(tree)).unwrap_err().message().to_owned()
        };
        assert!(told(BILL, &format!("{TREE}three v3.0.0")).ends_with("[three 3.0.0]"));
        assert!(told("", "").contains("lacks what cargo builds"), "an empty bill");
    }
}
