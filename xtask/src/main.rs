//! The project's own chores. Needs nothing but Rust: no crate, no GDAL.
//!
//! ```text
//! cargo xtask demo     builds, plans the sample property, says where the plan is
//! cargo xtask test     builds, runs every test, the checks against outside libraries too
//! ```
#![expect(clippy::print_stdout, clippy::print_stderr, reason = "chores talk to a terminal")]

mod apt;
mod cargo;
mod chore;
mod ci;
mod dem;
mod demo;
mod fuzz;
mod hand_out;
mod hunt;
mod json;
mod lasting;
mod needs;
mod node;
mod process;
mod python;
mod race;
mod reference;
mod repository;
mod setup;
mod stop;
mod tally;
mod test_run;

use std::process::ExitCode;

use chore::Chore;
use stop::Stop;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match Chore::parse(&arguments).and_then(run) {
        Ok(code) => code,
        Err(stop) => stop.report(),
    }
}

fn run(chore: Chore) -> Result<ExitCode, Stop> {
    match chore {
        Chore::Help => println!("{}", chore::HELP),
        Chore::Setup => setup::all()?,
        Chore::Demo => return demo::run(),
        Chore::Test => test_run::run()?,
        Chore::Ci { gates_only } => ci::run(gates_only)?,
        Chore::Docs { check } => reference::run(check)?,
        Chore::Dem(options) => dem::run(&options)?,
        Chore::Fuzz(options) => fuzz::run(&options)?,
        Chore::Hunt(options) => hunt::run(&options)?,
        Chore::HandOut { twice } => hand_out::run(twice)?,
        Chore::Race(options) => race::run(&options)?,
    }
    Ok(ExitCode::SUCCESS)
}
