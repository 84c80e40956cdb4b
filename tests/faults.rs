//! The disk fails, the program is killed, others use the same files: whatever happens, the folder holds the old output
//! or the whole new one, and what the program says of it is so.
//!
//! What it writes is the same bytes each time, so "whole" is held against a run on which nothing failed.

#![cfg(target_os = "linux")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test that stops has failed"
)]

mod knocks;
mod support;

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::Read;
use std::os::unix::process::ExitStatusExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::LazyLock;
use std::thread;
use std::time::{Duration, Instant};

use gdal::raster::RasterBand;
use gdal::{Dataset, Metadata};
use knocks::watch::{self, Did};
use support::{expect, names, repository, scratch, small, text};

const PROGRAM: &str = env!("CARGO_BIN_EXE_hillweave");
/// Numbers of signals (POSIX.1-2017, `kill`, which gives these two on every system).
const INT: i32 = 2;
const TERM: i32 = 15;
const LONGEST: Duration = Duration::from_mins(1);

/// What a folder holds.
type Contents = BTreeMap<String, Vec<u8>>;

fn contents(folder: &Path) -> Contents {
    names(folder)
        .into_iter()
        .map(|name| (name.clone(), fs::read(folder.join(name)).unwrap()))
        .collect()
}

/// Whether a raster says the same as one of these bytes. Where a write fails once, GDAL's library of TIFF writes what it
/// tells of the file a second time, elsewhere in it: other bytes, and as sound.
fn is_same_raster(path: &Path, bytes: &[u8]) -> bool {
    let told = |path: &Path| {
        let file = Dataset::open(path).ok()?;
        let band = file.rasterband(1).ok()?;
        let cells = |band: &RasterBand<'_>| {
            let cells = band.read_band_as::<f64>().unwrap();
            cells.data().iter().map(|cell| cell.to_bits()).collect::<Vec<_>>()
        };
        let overviews = 0..band.overview_count().ok()?;
        let overviews = overviews.map(|at| cells(&band.overview(at as usize).unwrap()));
        Some((
            file.metadata_item("LAYOUT", "IMAGE_STRUCTURE"),
            file.spatial_ref().ok()?.to_wkt().ok()?,
            file.geo_transform().ok()?.map(f64::to_bits),
            band.no_data_value().map(f64::to_bits),
            (band.unit(), band.description().ok()?),
            cells(&band),
            overviews.collect::<Vec<_>>(),
        ))
    };
    let room = scratch();
    let sound = room.path().join("sound.tif");
    fs::write(&sound, bytes).unwrap();
    let found = told(path);
    found.is_some() && found == told(&sound)
}

/// A command that replaces an earlier output in `out`, and what made that.
struct Job {
    earlier: &'static [&'static str],
    now: &'static [&'static str],
}

/// Commands that write folders: by files of text, GeoPackage, rasters whole and in windows, shapefiles and PDF.
const JOBS: [Job; 5] = [
    Job {
        earlier: &["plan", "site.toml", "-o", "out", "--only", "zones"],
        now: &["plan", "site.toml", "-o", "out", "--overwrite"],
    },
    Job {
        earlier: &["ground", "site.toml", "-o", "out", "--layers", "slope_deg"],
        now: &[
            "ground",
            "site.toml",
            "-o",
            "out",
            "--layers",
            "slope_deg,flow_area_m2",
            "--overwrite",
        ],
    },
    Job {
        earlier: &["ground", "--elevation", "dem.tif", "-o", "out", "--layers", "slope_deg"],
        now: &[
            "ground",
            "--elevation",
            "dem.tif",
            "-o",
            "out",
            "--layers",
            "slope_deg,flow_area_m2",
            "--whole-cells",
            "100",
            "--overwrite",
        ],
    },
    Job {
        earlier: &["export", "plan", "-o", "out", "--format", "gpx"],
        now: &["export", "plan", "-o", "out", "--overwrite"],
    },
    Job {
        earlier: &["report", "plan", "-o", "out", "--date", "2027-03-01"],
        now: &["report", "plan", "-o", "out", "--overwrite"],
    },
];

/// A folder in which a job is done again and again.
struct Bench {
    folder: tempfile::TempDir,
    arguments: &'static [&'static str],
    old: Contents,
    new: Contents,
    around: Vec<String>,
}

impl Bench {
    fn of(job: &Job) -> Self {
        let folder = scratch();
        small::write(folder.path());
        expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--quiet"], 0);
        let work = |arguments: &[&str]| {
            let status = support::hillweave(folder.path(), arguments).status.code();
            assert!(matches!(status, Some(0 | 1)), "{arguments:?}: {status:?}");
            contents(&folder.path().join("out"))
        };
        work(job.earlier);
        let new = work(job.now);
        fs::remove_dir_all(folder.path().join("out")).unwrap();
        let old = work(job.earlier);
        assert_ne!(old, new);
        let around = names(folder.path());
        Self { folder, arguments: job.now, old, new, around }
    }

    fn out(&self) -> PathBuf {
        self.folder.path().join("out")
    }

    /// The program, to be run in the folder.
    fn command(&self) -> Command {
        self.told(Command::new(PROGRAM))
    }

    /// The same, ended by signals even where this test was begun in the background, where shells have Ctrl-C passed over.
    fn heeding_command(&self) -> Command {
        let mut command = Command::new("env");
        command.args(["--default-signal=INT", PROGRAM]);
        self.told(command)
    }

    /// The program, or what runs it, told what to do and where.
    fn told(&self, mut command: Command) -> Command {
        command.args(self.arguments).arg("--json").current_dir(self.folder.path());
        command
    }

    /// Whether the new output stands; the old one is laid back then.
    fn is_new(&self) -> bool {
        self.is_new_after("this")
    }

    fn is_new_after(&self, what: &str) -> bool {
        let found = contents(&self.out());
        if found == self.old {
            return false;
        }
        for (name, bytes) in &self.new {
            let is_same = found.get(name) == Some(bytes)
                || (Path::new(name).extension().is_some_and(|end| end == "tif")
                    && is_same_raster(&self.out().join(name), bytes));
            assert!(is_same, "{what}: {name} is neither old nor new");
        }
        assert_eq!(found.len(), self.new.len(), "{:?}", names(&self.out()));
        for name in found.keys() {
            fs::remove_file(self.out().join(name)).unwrap();
        }
        for (name, bytes) in &self.old {
            fs::write(self.out().join(name), bytes).unwrap();
        }
        true
    }

    /// Whether what the program did is what it says: done, and the new output stands; or refused in words that help, and
    /// the old one does; nothing lies about in either case.
    fn is_done(&self, did: &Did, what: &str) -> bool {
        assert_eq!(names(self.folder.path()), self.around, "{what}: something was left");
        let is_new = self.is_new_after(what);
        match did.status {
            Some(0 | 1) => assert!(is_new, "{what}: done, and yet the old output stands"),
            Some(2) => {
                assert!(!is_new, "{what}: refused, and yet it stands\n{}", did.out);
                let helps = watch::told(&did.out);
                assert!(helps.is_ok(), "{what}: {helps:?}\n{}", did.err);
            }
            other => panic!("{what}: status {other:?}\n{}", did.err),
        }
        is_new
    }
}

/// The library that makes a disk fail; its own text says how.
static FAULTY_DISK: LazyLock<(tempfile::TempDir, PathBuf)> = LazyLock::new(|| {
    let folder = scratch();
    let library = folder.path().join("faulty_disk.so");
    let source = repository().join("tests/outside/faulty_disk.c");
    let mut compiler = Command::new("cc"); // the one that Rust links with
    compiler
        .args(["-std=gnu11", "-O1", "-shared", "-fPIC", "-o"])
        .arg(&library)
        .arg(source)
        .arg("-ldl");
    assert!(compiler.status().unwrap().success());
    (folder, library)
});

/// Runs a command on a disk that fails at the `from`-th call (0: never), once or from there on; what it did, and how
/// many calls there were.
fn on_faulty_disk(mut command: Command, from: usize, once: bool) -> (Did, usize) {
    let counted = scratch();
    let count = counted.path().join("calls");
    command.env("LD_PRELOAD", &FAULTY_DISK.1);
    command.env("FAULTY_DISK_FROM", from.to_string()).env("FAULTY_DISK_COUNT", &count);
    if once {
        command.env("FAULTY_DISK_ONCE", "1");
    }
    let did = watch::run(command, LONGEST).unwrap();
    let calls = fs::read_to_string(&count).map_or(0, |calls| calls.trim().parse().unwrap());
    (did, calls)
}

/// Fails calls of each job, so many spread over all of them or every one; how many, and how many were refused.
fn fail_calls(most: usize) {
    for job in &JOBS {
        let begun = Instant::now();
        let bench = Bench::of(job);
        let (did, calls) = on_faulty_disk(bench.command(), 0, true);
        assert!(bench.is_done(&did, "nothing fails") && calls >= 10, "{calls} calls");
        let tried = calls.min(most);
        let (mut refused, mut done) = (0, 0);
        for at in 0..tried {
            let from = 1 + at * calls / tried;
            for once in [true, false] {
                let (did, _) = on_faulty_disk(bench.command(), from, once);
                let what = format!("{:?}, call {from} of {calls}, once: {once}", bench.arguments);
                let is_done = bench.is_done(&did, &what);
                (refused, done) = (refused + usize::from(!is_done), done + usize::from(is_done));
            }
        }
        println!(
            "{:?}: {calls} calls, {refused} refused, {done} done, {:.1?}",
            job.now,
            begun.elapsed()
        );
        assert!(refused >= tried, "a disk that fails is hardly ever seen");
    }
}

#[test]
fn a_disk_that_fails_leaves_the_old_output_or_the_whole_new_one() {
    fail_calls(10);
}

#[test]
#[ignore = "takes long: cargo xtask test runs it"]
fn many_calls_fail_and_the_old_output_stands_or_the_whole_new_one() {
    fail_calls(60);
}

#[test]
#[ignore = "takes eight minutes: run it by hand"]
fn by_hand_whatever_call_fails_the_old_output_stands_or_the_whole_new_one() {
    fail_calls(usize::MAX);
}

#[test]
fn the_faulty_disk_fails() {
    let folder = scratch();
    let write = |from, once| {
        let mut command = Command::new("sh");
        let script = "dd if=in of=a status=none && dd if=in of=b status=none";
        command.args(["-c", script]).current_dir(folder.path());
        fs::write(folder.path().join("in"), "12").unwrap();
        let (did, _) = on_faulty_disk(command, from, once);
        let read = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap_or_default();
        (did.status == Some(0), read("a"), read("b"))
    };
    let told = |is_done, a: &str, b: &str| (is_done, a.to_owned(), b.to_owned());
    assert_eq!(write(0, true), told(true, "12", "12"));
    fs::remove_file(folder.path().join("b")).unwrap();
    assert_eq!(write(1, false), told(false, "", ""));
}

#[test]
fn a_limit_to_the_size_of_files_is_a_full_disk() {
    let bench = Bench::of(&JOBS[0]);
    let (mut refused, mut done) = (0, 0);
    // Blocks of 512 bytes.
    for blocks in [0, 1, 2, 4, 8, 16, 32, 64, 96, 128, 160, 192, 256, 400, 2_000, 20_000] {
        let mut command = Command::new("sh");
        let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
        command.args(["-c", &script, PROGRAM]);
        let did = watch::run(bench.told(command), LONGEST).unwrap();
        let is_done = bench.is_done(&did, &format!("files of {blocks} blocks"));
        (refused, done) = (refused + usize::from(!is_done), done + usize::from(is_done));
    }
    assert!(refused >= 5 && done >= 1, "{refused} refused, {done} done");
}

/// Ends so many runs by a signal, spread over the time that one takes; how often the new output stood,
/// and how often something lay beside it.
fn end_runs(signal: &str, runs: u32) -> (u32, u32) {
    let bench = Bench::of(&JOBS[0]);
    let begun = Instant::now();
    watch::run(bench.command(), LONGEST).unwrap();
    let takes = begun.elapsed();
    assert!(bench.is_new());
    let (mut new, mut left) = (0, 0);
    for run in 0..runs {
        let mut child = quiet(bench.heeding_command());
        thread::sleep(takes * run * 3 / (runs * 2)); // the last ones after their end
        end(&child, signal);
        child.wait().unwrap();
        new += u32::from(bench.is_new());
        left += u32::from(names(bench.folder.path()) != bench.around);
    }
    // The next run works, and clears away what those that were ended left.
    let did = watch::run(bench.command(), LONGEST).unwrap();
    assert!(bench.is_done(&did, "after all of them"));
    println!(
        "{runs} runs ended by {signal} over {takes:.2?}: {new} new; {left} looks at what one left"
    );
    assert!(new < runs, "no run was ended before its end");
    (new, left)
}

fn end(child: &Child, signal: &str) {
    let mut kill = Command::new("kill");
    kill.args([signal, &child.id().to_string()]).stderr(Stdio::null());
    kill.status().unwrap();
}

fn quiet(mut command: Command) -> Child {
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
}

#[test]
fn a_run_that_is_killed_leaves_the_old_plan_or_the_whole_new_one() {
    end_runs("-KILL", 30);
}

#[test]
#[ignore = "takes long: cargo xtask test runs it"]
fn two_hundred_runs_that_are_killed_leave_the_old_plan_or_the_whole_new_one() {
    let (new, left) = end_runs("-KILL", 200);
    assert!(new > 0, "all were ended before their move");
    assert!(left > 0, "none was ended while it wrote");
}

#[test]
fn a_run_that_is_broken_off_leaves_the_old_plan_or_the_whole_new_one_and_nothing_beside() {
    for signal in ["-INT", "-TERM"] {
        let (_, left) = end_runs(signal, 20);
        assert_eq!(left, 0, "{signal}");
    }
}

#[test]
fn who_called_a_run_that_was_broken_off_sees_that_a_signal_ended_it() {
    let bench = Bench::of(&JOBS[0]);
    for signal in [INT, TERM] {
        let mut child = quiet(bench.heeding_command());
        while names(bench.folder.path()) == bench.around {
            assert_eq!(child.try_wait().unwrap(), None, "nothing was ever beside the target");
        }
        end(&child, &format!("-{signal}"));
        assert_eq!(child.wait().unwrap().signal(), Some(signal));
        assert_eq!(names(bench.folder.path()), bench.around);
        assert!(!bench.is_new());
    }
}

#[test]
fn a_run_that_may_ignore_ctrl_c_ignores_it() {
    let bench = Bench::of(&JOBS[0]);
    let mut command = Command::new("env");
    command.args(["--ignore-signal=INT", PROGRAM]);
    let mut child = quiet(bench.told(command));
    while names(bench.folder.path()) == bench.around {
        assert_eq!(child.try_wait().unwrap(), None, "nothing was ever beside the target");
    }
    end(&child, "-INT");
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert!(bench.is_new());
}

#[test]
fn a_report_that_is_broken_off_leaves_no_temporary_folder() {
    let (folder, temporary) = (scratch(), scratch());
    small::write(folder.path());
    let mut broken_off = 0;
    for _ in 0..5 {
        let mut command = Command::new("env");
        command.args(["--default-signal=INT", PROGRAM, "report", "site.toml", "-o", "report"]);
        command.current_dir(folder.path()).env("TMPDIR", temporary.path());
        let mut child = quiet(command);
        while names(temporary.path()).is_empty() && child.try_wait().unwrap().is_none() {}
        end(&child, "-INT");
        broken_off += usize::from(child.wait().unwrap().signal() == Some(INT));
        assert_eq!(names(temporary.path()), Vec::<String>::new());
        let _ = fs::remove_dir_all(folder.path().join("report"));
    }
    assert!(broken_off > 0, "none was broken off");
}

#[test]
fn runs_into_one_folder_at_once_leave_one_whole_plan() {
    let bench = Bench::of(&JOBS[0]);
    for _ in 0..3 {
        let mut runs: Vec<Child> = (0..4).map(|_| quiet(bench.command())).collect();
        let statuses: Vec<_> = runs.iter_mut().map(|run| run.wait().unwrap().code()).collect();
        assert!(statuses.iter().all(|status| matches!(status, Some(0 | 2))), "{statuses:?}");
        assert!(statuses.contains(&Some(0)), "{statuses:?}");
        assert!(bench.is_new());
        assert_eq!(names(bench.folder.path()), bench.around);
    }
    // Without leave to replace, one of them alone has its way.
    for _ in 0..3 {
        fs::remove_dir_all(bench.out()).unwrap();
        let run = || {
            let mut command = Command::new(PROGRAM);
            command.args(["plan", "site.toml", "-o", "out"]).current_dir(bench.folder.path());
            quiet(command)
        };
        let mut runs: Vec<Child> = (0..4).map(|_| run()).collect();
        let mut statuses: Vec<_> = runs.iter_mut().map(|run| run.wait().unwrap().code()).collect();
        statuses.sort_unstable();
        assert_eq!(statuses, [Some(0), Some(2), Some(2), Some(2)]);
        assert!(bench.is_new());
        assert_eq!(names(bench.folder.path()), bench.around);
    }
}

#[test]
fn who_reads_the_old_plan_goes_on_reading_it() {
    let bench = Bench::of(&JOBS[0]);
    let mut held = File::open(bench.out().join("plan.json")).unwrap();
    let did = watch::run(bench.command(), LONGEST).unwrap();
    assert!(bench.is_done(&did, "held open"));
    let mut read = Vec::new();
    held.read_to_end(&mut read).unwrap();
    assert!(read == bench.old["plan.json"]);
}

#[test]
fn a_folder_that_cannot_be_written_is_refused() {
    let folder = scratch();
    small::write(folder.path());
    for target in ["/proc/plan", "/dev/null", "/dev/null/plan", "missing/plan", "site.toml", "."] {
        let output =
            support::hillweave(folder.path(), &["plan", "site.toml", "-o", target, "--json"]);
        assert_eq!(output.status.code(), Some(2), "{target}");
        assert_eq!(watch::told(&text(&output.stdout)), Ok(()), "{target}");
    }
}

#[test]
fn what_is_told_to_a_full_disk_is_not_done() {
    let folder = scratch();
    small::write(folder.path());
    for arguments in [["stock", "stock.toml", "--json"], ["check", "site.toml", "--color=never"]] {
        let full = File::options().write(true).open("/dev/full").unwrap();
        let mut command = Command::new(PROGRAM);
        command.args(arguments).current_dir(folder.path()).stdout(full);
        let output = command.output().unwrap();
        assert_eq!(output.status.code(), Some(2));
        let said = text(&output.stderr);
        assert!(said.contains("standard output") && said.contains("remedy"), "{said}");
    }
}

/// Swaps a layer for another again and again while plans are made: each plan is one of the two, with its sum.
#[test]
fn a_plan_is_of_the_file_whose_sum_it_tells() {
    let folder = scratch();
    let folder = folder.path();
    small::write(folder);
    let other = |row, col| small::height(row, col) * 1.1;
    small::raster_f32(&folder.join("one.tif"), 40, 40, Some("EPSG:2193"), 5.0, small::height);
    small::raster_f32(&folder.join("two.tif"), 40, 40, Some("EPSG:2193"), 5.0, other);
    let put = |name: &str| {
        fs::copy(folder.join(name), folder.join("dem.next")).unwrap();
        fs::rename(folder.join("dem.next"), folder.join("dem.tif")).unwrap();
    };
    let mut whole = Vec::new();
    for name in ["one.tif", "two.tif"] {
        put(name);
        expect(folder, &["plan", "site.toml", "-o", "plan", "--overwrite"], 0);
        whole.push(fs::read(folder.join("plan/plan.json")).unwrap());
    }
    let (mut done, mut refused) = (0, 0);
    for run in 0..24_u64 {
        fs::remove_dir_all(folder.join("plan")).unwrap();
        let mut command = Command::new(PROGRAM);
        command.args(["plan", "site.toml", "-o", "plan", "--json"]).current_dir(folder);
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        let mut turn = 0;
        let status = loop {
            if let Some(status) = child.try_wait().unwrap() {
                break status;
            }
            put(["one.tif", "two.tif"][turn % 2]);
            turn += 1;
            thread::sleep(Duration::from_millis(1 + 3 * run));
        };
        match status.code() {
            Some(0) => {
                let plan = fs::read(folder.join("plan/plan.json")).unwrap();
                assert!(whole.contains(&plan), "a plan of one file with the sum of the other");
                done += 1;
            }
            Some(2) => {
                fs::create_dir(folder.join("plan")).unwrap();
                refused += 1;
            }
            other => panic!("{other:?}"),
        }
    }
    println!("{done} plans, {refused} refused while the layer was swapped");
    assert!(refused > 0, "it was never swapped while it was read");
}
