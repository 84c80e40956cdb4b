//! What building, testing and racing need from the machine, and how to tell that it is there.

use std::process::Command;

use crate::process;

/// Something that must be on the machine, and the Debian or Ubuntu packages that bring it.
#[derive(Debug)]
pub(crate) struct Need {
    /// In words.
    pub(crate) what: &'static str,
    /// Whether it is there.
    present: fn() -> bool,
    /// What brings it.
    pub(crate) packages: &'static [&'static str],
}

/// For `cargo build`: the engine reads layers through the system's GDAL.
pub(crate) const BUILD: &[Need] = &[
    Need {
        what: "a C compiler (cc)",
        present: || process::on_path("cc"),
        packages: &["gcc", "libc6-dev"],
    },
    Need {
        what: "pkg-config",
        present: || process::on_path("pkg-config"),
        packages: &["pkg-config"],
    },
    Need {
        what: "the GDAL library, 3.4 or later, with its headers",
        present: || {
            let asked = ["--exists", "gdal >= 3.4"];
            process::succeeds(Command::new("pkg-config").args(asked))
        },
        packages: &["libgdal-dev"],
    },
];

/// GDAL's programs: an outside opinion on slope and aspect.
pub(crate) const GDAL_PROGRAMS: Need = Need {
    what: "GDAL's programs (gdaldem)",
    present: || ["gdaldem", "gdalwarp", "gdalinfo"].into_iter().all(process::on_path),
    packages: &["gdal-bin"],
};

/// Python that can make a folder of its own for the checkers.
pub(crate) const PYTHON: Need = Need {
    what: "Python 3 with venv",
    present: || process::succeeds(Command::new("python3").args(["-c", "import ensurepip, venv"])),
    packages: &["python3", "python3-venv"],
};

/// The system's own Python: QGIS's and GDAL's bindings are built for it, and for no other.
pub(crate) const SYSTEM_PYTHON: &str = "/usr/bin/python3";

/// A mapping package without a window: whether our files open in it, and how they look.
pub(crate) const QGIS: Need = Need {
    what: "QGIS's and GDAL's libraries for the system's Python (qgis.core, osgeo), with venv",
    present: || {
        let asked = ["-c", "import qgis.core, osgeo.gdal, ensurepip, venv"];
        process::succeeds(Command::new(SYSTEM_PYTHON).args(asked))
    },
    packages: &["python3-qgis", "python3-gdal", "python3-venv"],
};

/// Node: the readers of style files are written for it.
pub(crate) const NODE: Need = Need {
    what: "Node, 18 or later, with npm",
    present: || process::on_path("node") && process::on_path("npm"),
    packages: &["nodejs", "npm"],
};

/// A browser without a window: whether a page works for everyone.
pub(crate) const BROWSER: Need = Need {
    what: "Chromium",
    present: || ["chromium", "chromium-browser", "google-chrome"].into_iter().any(process::on_path),
    packages: &["chromium"],
};

/// Poppler's programs: what is on a printed page.
pub(crate) const POPPLER: Need = Need {
    what: "poppler's programs (pdftotext)",
    present: || ["pdfinfo", "pdffonts", "pdftotext", "pdftoppm"].into_iter().all(process::on_path),
    packages: &["poppler-utils"],
};

/// SAGA's command line: a general terrain tool to race against.
pub(crate) const SAGA: Need = Need {
    what: "SAGA's command line (saga_cmd)",
    present: || process::on_path("saga_cmd"),
    packages: &["saga"],
};

/// GNU time: it tells a program's peak memory.
pub(crate) const TIME: Need = Need {
    what: "GNU time (time)",
    present: || process::succeeds(Command::new("time").args(["-f", "%M", "true"])),
    packages: &["time"],
};

/// Those that are not there.
pub(crate) fn missing<'a>(needs: impl IntoIterator<Item = &'a Need>) -> Vec<&'a Need> {
    needs.into_iter().filter(|need| !(need.present)()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_absent_is_missing() {
        let there = Need { what: "here", present: || true, packages: &["a"] };
        let absent = Need { what: "absent", present: || false, packages: &["b"] };
        let missing: Vec<_> = missing([&there, &absent]).iter().map(|need| need.what).collect();
        assert_eq!(missing, ["absent"]);
    }
}
