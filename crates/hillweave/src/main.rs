//! `hillweave`: the command line. It types nothing of its own: every figure comes from the engine.

mod arguments;
mod broken_off;
mod commands;
mod outcome;
mod progress;
mod screen;
mod summary;

use std::process::ExitCode;

use clap::Parser;

use arguments::{Arguments, Command};
use outcome::{Outcome, Stop};
use screen::Screen;

fn main() -> ExitCode {
    std::panic::set_hook(Box::new(|fault| {
        screen::say_bug(fault);
    }));
    let arguments = Arguments::parse();
    let screen = Screen::new(&arguments.general);
    if let Some(threads) = arguments.general.threads {
        // Fails only if the pool exists already, which it cannot at this point.
        let _ = rayon::ThreadPoolBuilder::new().num_threads(threads.into()).build_global();
    }
    broken_off::clear_up_then_end(matches!(arguments.command, Command::Open(_)));
    let outcome = run(arguments.command, &screen).unwrap_or_else(|stop| match stop {
        Stop::Problems(problems) => {
            screen.problems(&problems);
            Outcome::BadInput
        }
        // The reader of our output has gone: that is its right.
        Stop::Pipe => Outcome::Done,
        Stop::Screen(error) => {
            screen::say_unheard(&error);
            Outcome::BadInput
        }
    });
    outcome.into()
}

fn run(command: Command, screen: &Screen) -> Result<Outcome, Stop> {
    match command {
        Command::New(options) => commands::new::run(&options, screen),
        Command::Check(options) => commands::check::run(&options, screen),
        Command::Ground(options) => commands::ground::run(&options, screen),
        Command::Stock(options) => commands::stock::run(&options, screen),
        Command::Plan(options) => commands::plan::run(&options, screen),
        Command::Survival(options) => commands::survival::run(&options, screen),
        Command::Calendar(options) => commands::calendar::run(&options, screen),
        Command::Money(options) => commands::money::run(&options, screen),
        Command::Season(options) => commands::season::run(&options, screen),
        Command::Chances(options) => commands::chances::run(&options, screen),
        Command::Cover(options) => commands::cover::run(&options, screen),
        Command::Eligible(options) => commands::eligible::run(&options, screen),
        Command::Report(options) => commands::report::run(&options, screen),
        Command::Export(options) => commands::export::run(&options, screen),
        Command::Compare(options) => commands::compare::run(&options, screen),
        Command::Open(options) => commands::open::run(&options, screen),
        Command::Seed(command) => commands::seed::run(&command, screen),
        Command::Completions(options) => commands::pages::completions(&options, screen),
        Command::Manual => commands::pages::manual(screen),
        Command::Reference(options) => commands::pages::reference(&options, screen),
    }
}
