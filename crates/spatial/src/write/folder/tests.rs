//! The old folder or the whole new one, and what is in its way.

use tempfile::TempDir;

use super::*;

const PLAN: &[u8] = b"{\n  \"schema\": \"hillweave.plan/1\"\n}\n";

fn listed(folder: &Path) -> Vec<String> {
    names_in(folder).unwrap()
}

/// A folder with an earlier plan in it.
fn with_old_plan() -> (TempDir, PathBuf) {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    fs::create_dir(&target).unwrap();
    fs::write(target.join(PLAN_JSON), PLAN).unwrap();
    fs::write(target.join(SCHEDULE_CSV), "old").unwrap();
    (room, target)
}

#[test]
fn a_new_folder_appears_whole() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("with space and mānuka");
    let staged = StagedFolder::begin(&target, false).unwrap();
    staged.write("b", b"22").unwrap();
    staged.write("a", b"1").unwrap();
    assert!(!target.exists());
    let written = staged.commit().unwrap();
    let expected = [("a", 1), ("b", 2)].map(|(file, bytes)| Written { file: file.into(), bytes });
    assert_eq!(written, expected);
    assert_eq!(listed(room.path()), ["with space and mānuka/"]);
    assert_eq!(listed(&target), ["a", "b"]);
}

#[cfg(unix)]
#[test]
fn others_may_read_it_as_any_new_folder() {
    use std::os::unix::fs::PermissionsExt;
    let room = tempfile::tempdir().unwrap();
    let plain = room.path().join("plain");
    fs::create_dir(&plain).unwrap();
    let target = room.path().join("plan");
    StagedFolder::begin(&target, false).unwrap().commit().unwrap();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
    assert_eq!(mode(&target), mode(&plain));
}

#[test]
fn dropped_before_commit_it_leaves_no_trace() {
    let (room, target) = with_old_plan();
    let staged = StagedFolder::begin(&target, true).unwrap();
    staged.write(SCHEDULE_CSV, b"new, half-ma").unwrap();
    drop(staged);
    assert_eq!(listed(room.path()), ["plan/"]);
    assert_eq!(fs::read(target.join(SCHEDULE_CSV)).unwrap(), b"old");
}

#[test]
fn overwrite_replaces_the_whole_folder() {
    let (room, target) = with_old_plan();
    let staged = StagedFolder::begin(&target, true).unwrap();
    staged.write(PLAN_JSON, PLAN).unwrap();
    staged.commit().unwrap();
    assert_eq!(listed(room.path()), ["plan/"]);
    assert_eq!(listed(&target), [PLAN_JSON]);
}

#[test]
fn turns_swap_as_one_step_does() {
    let (room, target) = with_old_plan();
    let stage = room.path().join(".plan.partial-1");
    fs::create_dir(&stage).unwrap();
    exchange_by_turns(&stage, &target).unwrap();
    assert_eq!(listed(room.path()), [".plan.partial-1/", "plan/"]);
    assert_eq!((listed(&stage).len(), listed(&target).len()), (2, 0));
}

#[test]
fn a_failed_turn_puts_the_old_folder_back() {
    let (room, target) = with_old_plan();
    assert!(exchange_by_turns(&room.path().join("missing"), &target).is_err());
    assert_eq!(listed(room.path()), ["plan/"]);
    assert_eq!(listed(&target), [PLAN_JSON, SCHEDULE_CSV]);
}

#[test]
fn an_empty_folder_needs_no_overwrite() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    fs::create_dir(&target).unwrap();
    StagedFolder::begin(&target, false).unwrap().commit().unwrap();
    assert_eq!(listed(room.path()), ["plan/"]);
}

#[test]
fn a_folder_that_is_not_empty_names_the_flag() {
    let (_room, target) = with_old_plan();
    let refused = StagedFolder::begin(&target, false).unwrap_err();
    assert!(refused.remedy.contains("--overwrite") && refused.found.contains(PLAN_JSON));
    assert!(refused.file.unwrap().ends_with("plan"));
}

#[test]
fn overwrite_never_deletes_what_is_not_ours() {
    type Put = fn(&Path) -> io::Result<()>;
    let strange: [(&str, Put); 6] = [
        ("a letter", |t| fs::write(t.join("letter.txt"), "dear")),
        ("a folder", |t| fs::create_dir(t.join("photos"))),
        ("a folder with a name of ours", |t| {
            fs::remove_file(t.join(SCHEDULE_CSV))?;
            fs::create_dir(t.join(SCHEDULE_CSV))
        }),
        ("a database that is open", |t| fs::write(t.join("plan.gpkg-wal"), "")),
        ("no plan", |t| fs::remove_file(t.join(PLAN_JSON))),
        ("the plan of another program", |t| {
            fs::write(t.join(PLAN_JSON), "{\"schema\": \"house\"}")
        }),
    ];
    for (what, put) in strange {
        let (_room, target) = with_old_plan();
        put(&target).unwrap();
        let before = listed(&target);
        let refused = StagedFolder::begin(&target, true);
        assert!(refused.is_err_and(|problem| problem.remedy.contains("another folder")), "{what}");
        assert_eq!(listed(&target), before, "{what}");
    }
}

#[test]
fn what_comes_while_we_write_is_kept() {
    let (room, target) = with_old_plan();
    let staged = StagedFolder::begin(&target, true).unwrap();
    fs::write(target.join("letter.txt"), "dear").unwrap();
    assert!(staged.commit().is_err());
    assert_eq!(listed(room.path()), ["plan/"]);
    assert_eq!(listed(&target), ["letter.txt", PLAN_JSON, SCHEDULE_CSV]);
}

#[test]
fn what_another_run_wrote_meanwhile_is_kept_unless_told_otherwise() {
    for (overwrite, left) in [(false, "first"), (true, "second")] {
        let room = tempfile::tempdir().unwrap();
        let target = room.path().join("plan");
        let [first, second] = [(); 2].map(|()| StagedFolder::begin(&target, overwrite).unwrap());
        for (staged, what) in [(&first, "first"), (&second, "second")] {
            staged.write(PLAN_JSON, PLAN).unwrap();
            staged.write(SCHEDULE_CSV, what.as_bytes()).unwrap();
        }
        first.commit().unwrap();
        assert_eq!(second.commit().is_ok(), overwrite);
        assert_eq!(fs::read(target.join(SCHEDULE_CSV)).unwrap(), left.as_bytes());
        assert_eq!(listed(room.path()), ["plan/"]);
    }
}

#[test]
fn a_folder_set_aside_by_a_killed_run_is_put_back() {
    let (room, target) = with_old_plan();
    fs::rename(&target, room.path().join(".plan.replaced")).unwrap();
    drop(StagedFolder::begin(&target, true).unwrap());
    assert_eq!(listed(room.path()), ["plan/"]);
    assert_eq!(listed(&target), [PLAN_JSON, SCHEDULE_CSV]);
}

/// Whether the folder holds the old plan, or else the whole new one; and nothing lies beside it.
fn is_old(room: &Path, target: &Path) -> bool {
    assert_eq!(listed(room), ["plan/"]);
    let schedule = fs::read(target.join(SCHEDULE_CSV)).unwrap();
    if schedule == b"old" {
        assert_eq!(listed(target), [PLAN_JSON, SCHEDULE_CSV]);
        return true;
    }
    assert_eq!((&*schedule, listed(target).len()), (&b"new"[..], 3));
    false
}

#[test]
fn whatever_step_fails_the_old_folder_stands_or_the_whole_new_one() {
    let replace = |target: &Path| -> Result<(), Problem> {
        let staged = StagedFolder::begin(target, true)?;
        staged.write(PLAN_JSON, PLAN)?;
        staged.write(SCHEDULE_CSV, b"new")?;
        staged.write(ORDERS_CSV, b"new")?;
        staged.commit().map(drop)
    };
    // Each step by itself, and each two: where the swap fails, one of the moves that take its place.
    let ((), steps) = disk::faults([usize::MAX; 2], || {
        let (_room, target) = with_old_plan();
        replace(&target).unwrap();
    });
    let (mut refusals, mut done) = (0, 0);
    for first in 0..=steps {
        for second in first..=steps + 3 {
            let (room, target) = with_old_plan();
            let (outcome, _) = disk::faults([first, second], || replace(&target));
            let is_old = is_old(room.path(), &target);
            match outcome {
                Ok(()) => done += usize::from(!is_old),
                Err(problem) => {
                    assert!(is_old, "refused, and yet it stands: steps {first} and {second}");
                    assert!(problem.remedy.contains("room on the disk"), "{problem}");
                    refusals += 1;
                }
            }
        }
    }
    // Only where the swap fails and a move takes its place, and where no step was left to fail, is it done.
    assert!(refusals > 60 && done > 0, "{refusals} refused, {done} done of {steps} steps");
}

#[test]
fn a_step_that_fails_is_seen() {
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("a");
    let twice = || [disk::write(&file, b"1").is_ok(), disk::write(&file, b"2").is_ok()];
    assert_eq!(disk::faults([usize::MAX; 2], twice), ([true, true], 2));
    assert_eq!(disk::faults([1, 7], twice), ([true, false], 2));
    assert_eq!(fs::read(&file).unwrap(), b"1");
}

#[test]
fn side_files_of_mapping_packages_are_ours_to_replace() {
    let (_room, target) = with_old_plan();
    fs::write(target.join("plan.gpkg.aux.xml"), "").unwrap();
    fs::write(target.join(".DS_Store"), "").unwrap();
    assert!(StagedFolder::begin(&target, true).is_ok());
}

#[test]
fn an_earlier_set_of_ground_rasters_is_ours() {
    let room = tempfile::tempdir().unwrap();
    for output in LandformOutput::all() {
        for file in output.files() {
            fs::write(room.path().join(file), "").unwrap();
        }
    }
    assert!(StagedFolder::begin(room.path(), true).is_err());
    let record = "{\n  \"schema\": \"hillweave.ground/1\",\n";
    fs::write(room.path().join(GROUND_JSON), record).unwrap();
    assert!(StagedFolder::begin(room.path(), true).is_ok());
}

#[test]
fn places_that_cannot_be_written_are_named() {
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("file");
    fs::write(&file, "").unwrap();
    let bad = [
        file.clone(),
        file.join("below"),
        room.path().join("missing/plan"),
        room.path().join("n".repeat(300)),
        PathBuf::from("/"),
        PathBuf::from("."),
        PathBuf::from(".."),
        PathBuf::from(""),
        PathBuf::from("/proc/plan"),
    ];
    for target in bad {
        let refused = StagedFolder::begin(&target, true).unwrap_err();
        assert!(!refused.found.is_empty() && !refused.remedy.is_empty(), "{}", target.display());
    }
    assert_eq!(listed(room.path()), ["file"]);
}

#[cfg(unix)]
#[test]
fn a_link_is_followed_to_its_folder() {
    let (room, target) = with_old_plan();
    let link = room.path().join("link");
    std::os::unix::fs::symlink(&target, &link).unwrap();
    StagedFolder::begin(&link, true).unwrap().commit().unwrap();
    assert_eq!(listed(room.path()), ["link/", "plan/"]);
    assert!(listed(&target).is_empty());
    fs::remove_dir(&target).unwrap();
    assert!(StagedFolder::begin(&link, true).is_err());
}
