//! Debian's and Ubuntu's package manager.

use std::fs;
use std::os::unix::fs::MetadataExt;
use std::process::Command;

use crate::needs::Need;
use crate::process;
use crate::stop::Stop;

/// Who may install packages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rights {
    /// This user.
    Root,
    /// This user through `sudo`, without a password.
    Sudo,
    /// Nobody here: the person is asked.
    None,
}

impl Rights {
    fn found() -> Self {
        let owner = fs::metadata("/proc/self").map(|process| process.uid());
        if owner.is_ok_and(|user| user == 0) {
            Self::Root
        } else if process::succeeds(Command::new("sudo").args(["-n", "true"])) {
            Self::Sudo
        } else {
            Self::None
        }
    }
}

/// Installs what is missing, or stops with the one command that would.
pub(crate) fn install(missing: &[&Need]) -> Result<(), Stop> {
    if !process::on_path("apt-get") {
        return Err(Stop::unready(elsewhere(missing)));
    }
    let packages = packages(missing);
    let rights = Rights::found();
    if rights == Rights::None {
        return Err(Stop::unready(request(missing, &packages)));
    }
    eprintln!("missing: {}", wants(missing));
    // A stale list names versions that the mirror no longer holds. One broken entry in the
    // machine's sources must not stop the others, so the install below decides.
    let updated = process::run(&mut apt_get(rights, &["update"]));
    if updated.is_err() {
        eprintln!("apt-get update failed; trying with the lists that are there");
    }
    let install = ["install", "-y", "--no-install-recommends"];
    process::run(apt_get(rights, &install).args(&packages)).map_err(|stop| {
        let by_hand = request(missing, &packages);
        Stop::unready(format!("{}\n{by_hand}", stop.message()))
    })
}

fn apt_get(rights: Rights, arguments: &[&str]) -> Command {
    let mut command = match rights {
        Rights::Sudo => {
            let mut sudo = Command::new("sudo");
            sudo.args(["-n", "env"]);
            sudo
        }
        Rights::Root | Rights::None => Command::new("env"),
    };
    command.args(["DEBIAN_FRONTEND=noninteractive", "apt-get", "-q"]);
    // A machine that has just started may be updating itself: wait for it.
    command.args(["-o", "DPkg::Lock::Timeout=300"]).args(arguments);
    command
}

fn packages(missing: &[&Need]) -> Vec<&'static str> {
    missing.iter().flat_map(|need| need.packages).copied().collect()
}

fn wants(missing: &[&Need]) -> String {
    missing.iter().map(|need| need.what).collect::<Vec<_>>().join(", ")
}

fn request(missing: &[&Need], packages: &[&str]) -> String {
    format!(
        "missing: {}\nPlease run this once, then try again:\n\n    sudo apt-get update && sudo \
         apt-get install -y --no-install-recommends {}\n",
        wants(missing),
        packages.join(" ")
    )
}

fn elsewhere(missing: &[&Need]) -> String {
    format!(
        "missing: {}\nThis machine has no apt-get. Install these with its own package manager; on \
         Debian and Ubuntu the packages are: {}",
        wants(missing),
        packages(missing).join(" ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::needs::{BUILD, GDAL_PROGRAMS, PYTHON};

    #[test]
    fn the_person_gets_one_command_that_updates_first() {
        let missing: Vec<_> = BUILD.iter().chain([&GDAL_PROGRAMS, &PYTHON]).collect();
        let text = request(&missing, &packages(&missing));
        let commands: Vec<_> = text.lines().filter(|line| line.starts_with("    ")).collect();
        assert_eq!(
            commands,
            ["    sudo apt-get update && sudo apt-get install -y --no-install-recommends \
              gcc libc6-dev pkg-config libgdal-dev gdal-bin python3 python3-venv"]
        );
        assert!(text.contains("a C compiler (cc), pkg-config, the GDAL library"));
    }

    #[test]
    fn sudo_never_asks_and_keeps_apt_silent() {
        let line = process::line(&apt_get(Rights::Sudo, &["update"]));
        assert!(line.starts_with("sudo -n env DEBIAN_FRONTEND=noninteractive apt-get "), "{line}");
        assert!(line.ends_with(" update"));
    }

    #[test]
    fn machines_without_apt_are_told_the_names() {
        let text = elsewhere(&[&BUILD[2]]);
        assert!(text.contains("no apt-get") && text.contains("libgdal-dev"), "{text}");
    }
}
