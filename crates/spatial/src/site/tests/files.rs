//! Files that cannot be a site.

use std::path::Path;

use super::super::load;
use super::LEAST;

fn found(file: &Path) -> String {
    let problems = load(file).unwrap_err();
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert!(problems[0].file.is_some() && !problems[0].remedy.is_empty());
    problems[0].to_string()
}

#[test]
fn a_folder_stands_for_its_site_file_and_files_are_taken_from_it() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("site.toml"), LEAST).unwrap();
    let (site, _) = load(folder.path()).unwrap();
    assert_eq!(site.file, folder.path().join("site.toml"));
    assert_eq!(site.layers.elevation.file, folder.path().join("elevation_m.tif"));
}

#[test]
fn what_cannot_be_read_says_why() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("site.toml");
    assert!(found(&file).contains("hillweave new DIR"), "missing");
    std::fs::create_dir(&file).unwrap();
    assert!(found(folder.path()).contains("a folder"));
    std::fs::remove_dir(&file).unwrap();
    for empty in ["", " \n", "# only a comment\n"] {
        std::fs::write(&file, empty).unwrap();
        assert!(found(&file).contains("nothing but blanks and comments"));
    }
    std::fs::write(&file, b"[site]\nname = \"M\xe4ra\"\n").unwrap();
    let latin = found(&file);
    assert!(latin.contains("site.toml:2:10") && latin.contains("UTF-8"), "{latin}");
    std::fs::write(&file, vec![b'\n'; (4 << 20) + 1]).unwrap();
    assert!(found(&file).contains("a larger file"));
    std::fs::write(&file, vec![b'\n'; 4 << 20]).unwrap();
    assert!(found(&file).contains("nothing but blanks"), "4 MB is still read");
}

#[cfg(unix)]
#[test]
fn what_is_not_a_plain_file_is_not_opened() {
    assert!(found(Path::new("/dev/zero")).contains("not a plain file"));
}

#[test]
fn a_file_cut_short_anywhere_is_refused_or_lacks_something() {
    for end in 0..LEAST.len() - 1 {
        let text = &LEAST[..end];
        let Ok((site, _)) = super::read(text) else { continue };
        // The last table is optional: before it stands a whole site.
        assert!(text.contains("stock.toml\"") && site.keep_clear.is_empty(), "cut at {end}");
    }
}
