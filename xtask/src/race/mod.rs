//! Times our kernels, `hillweave ground` and zones against general-purpose tools: the same
//! elevation, the same machine, one run, taking turns.

mod answers;
mod contestants;
mod entrants;
mod kernel_table;
mod kernels;
mod machine;
mod options;
mod page;
mod sizes;
mod table;
mod timing;
mod zones;

use std::fs;
use std::path::{Path, PathBuf};

use crate::cargo::{self, Profile};
use crate::needs::{GDAL_PROGRAMS, SAGA, TIME};
use crate::stop::Stop;
use crate::{repository, setup};

pub(crate) use options::Options;

use contestants::Course;
use options::{CELLS, Part};

/// Races and prints the tables.
pub(crate) fn run(options: &Options) -> Result<(), Stop> {
    setup::build()?;
    setup::provide(vec![&GDAL_PROGRAMS])?;
    for (need, without) in [(&SAGA, "SAGA in the tables"), (&TIME, "peak memory in the tables")] {
        if let Err(stop) = setup::provide(vec![need]) {
            eprintln!("{}\ngoing on without {without}", stop.message());
        }
    }
    let program = cargo::build(Profile::Release)?;
    let maker = cargo::example("hillweave", "make_dem")?;
    let folder = fresh_folder()?;
    let mut report = Vec::new();
    for part in &options.parts {
        report.push(table(*part, options, &maker, &program, &folder)?);
    }
    report.push(table::measured_on(&program));
    let report = report.join("\n\n");
    println!("{report}");
    if options.write { page::write(&report) } else { Ok(()) }
}

fn table(
    part: Part,
    options: &Options,
    maker: &Path,
    program: &Path,
    folder: &Path,
) -> Result<String, Stop> {
    match part {
        Part::Kernels => {
            let cells = options.cells.unwrap_or(CELLS);
            kernels::race(maker, cells, options.runs, &options.without)
        }
        Part::Programs => {
            let course = Course::new(options, maker, program.into(), folder.into())?;
            let field = timing::take_turns(course.contestants()?, course.size, options.runs)?;
            Ok(table::report(course.size, &field, options.runs))
        }
        Part::Zones => {
            let cells = options.cells.unwrap_or(CELLS);
            zones::race(maker, program, folder, cells, options.runs)
        }
        Part::Sizes => sizes::race(maker, program, folder, &options.sizes, options.runs),
    }
}

fn fresh_folder() -> Result<PathBuf, Stop> {
    let folder = repository::target_folder()?.join("race");
    let made = || {
        if folder.exists() {
            fs::remove_dir_all(&folder)?;
        }
        fs::create_dir_all(&folder)
    };
    made().map_err(|error| Stop::unusable(folder.display(), &error))?;
    Ok(folder)
}
