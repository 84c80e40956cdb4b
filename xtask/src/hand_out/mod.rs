//! The program as it is handed out: built the same anywhere, with what it is made of and the sums of both beside it.

mod advisories;
mod bill;
mod build;
mod copy;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::stop::Stop;
use crate::{process, repository, setup};

const PROGRAM: &str = "hillweave";
const BILL: &str = "hillweave.cdx.json";
const SUMS: &str = "SHA256SUMS";

/// Builds the program, of crates that nothing is known against, into `target/hand-out`, writes its bill of materials and
/// their sums, and, when asked, builds it once more from a copy of the sources elsewhere and holds the two against each
/// other.
pub(crate) fn run(twice: bool) -> Result<(), Stop> {
    setup::build()?;
    setup::cyclonedx()?;
    advisories::none_is_known(&cargo_home()?)?;
    let root = repository::root();
    let target = repository::target_folder()?;
    let folder = target.join("hand-out");
    fs::create_dir_all(&folder).map_err(|error| Stop::unusable(folder.display(), &error))?;
    let built = build::program(&root, &target)?;
    // A program that does not start is not handed out.
    let version = process::capture(Command::new(&built).arg("--version"))?;
    put(&built, &folder.join(PROGRAM))?;
    let bill = bill::of_program(&root)?;
    repository::write(&folder.join(BILL), &bill)?;
    let sums =
        process::capture(Command::new("sha256sum").args([PROGRAM, BILL]).current_dir(&folder))?;
    repository::write(&folder.join(SUMS), &sums)?;
    print!("{version}{sums}");
    if twice { again(&root, &built, &folder) } else { Ok(()) }
}

/// Builds a copy of the sources in another folder, from nothing, and compares.
fn again(root: &Path, built: &Path, folder: &Path) -> Result<(), Stop> {
    let elsewhere = folder.join("sources of the second build");
    let copied = copy::sources(root, &elsewhere)?;
    eprintln!("{copied} files copied to {}; building them from nothing", elsewhere.display());
    let other = build::program(&elsewhere, &elsewhere.join("target"))?;
    let [one, other] = [built, &other].map(bytes);
    compared(&one?, &other?)?;
    println!("built twice, in two folders: the same bytes");
    fs::remove_dir_all(&elsewhere).map_err(|error| Stop::unusable(elsewhere.display(), &error))
}

fn compared(one: &[u8], other: &[u8]) -> Result<(), Stop> {
    if one == other {
        return Ok(());
    }
    let differs = one.iter().zip(other).position(|(a, b)| a != b);
    Err(Stop::finding(format!(
        "two builds differ: {} and {} bytes, the first difference at {}",
        one.len(),
        other.len(),
        differs.unwrap_or(one.len().min(other.len()))
    )))
}

fn bytes(file: &Path) -> Result<Vec<u8>, Stop> {
    fs::read(file).map_err(|error| Stop::unusable(file.display(), &error))
}

fn put(from: &Path, to: &Path) -> Result<(), Stop> {
    fs::copy(from, to).map(drop).map_err(|error| Stop::unusable(to.display(), &error))
}

/// Where cargo keeps the sources of crates.
fn cargo_home() -> Result<PathBuf, Stop> {
    let at_home = || std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".cargo"));
    std::env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(at_home)
        .ok_or_else(|| Stop::unready("neither CARGO_HOME nor HOME is set"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_other_byte_is_found_and_said_where() {
        assert!(compared(b"same", b"same").is_ok());
        let told = |other: &[u8]| compared(b"same", other).unwrap_err().message().to_owned();
        assert!(told(b"sane").ends_with("difference at 2"), "{}", told(b"sane"));
        assert!(told(b"samey").contains("4 and 5 bytes"), "{}", told(b"samey"));
        assert!(told(b"samey").ends_with("difference at 4"), "{}", told(b"samey"));
    }
}
