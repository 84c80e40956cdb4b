//! Times `hillweave ground` against general-purpose terrain tools: the same elevation, the same
//! machine, one run, taking turns.

mod contestants;
mod machine;
mod options;
mod page;
mod table;
mod timing;

use std::fs;
use std::path::PathBuf;

use crate::cargo::{self, Profile};
use crate::needs::{GDAL_PROGRAMS, SAGA};
use crate::stop::Stop;
use crate::{repository, setup};

pub(crate) use options::Options;

use contestants::Course;

/// Races and prints the table.
pub(crate) fn run(options: &Options) -> Result<(), Stop> {
    setup::build()?;
    setup::provide(vec![&GDAL_PROGRAMS])?;
    if let Err(stop) = setup::provide(vec![&SAGA]) {
        eprintln!("{}\ngoing on without SAGA: no hollows, flow and wetness", stop.message());
    }
    let program = cargo::build(Profile::Release)?;
    let folder = fresh_folder()?;
    let course = Course::new(options, program, folder)?;
    let field = timing::take_turns(course.contestants()?, course.size, options.runs)?;
    let report = table::report(course.size, &course.program, &field, options.runs);
    println!("{report}");
    if options.write { page::write(&report) } else { Ok(()) }
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
