//! `hillweave seed`: local seed, from stands to seedlings.

mod rank;
mod sites;

use crate::arguments::Seed;
use crate::outcome::{Outcome, Stop};
use crate::screen::Screen;

/// Runs what was asked for.
pub(crate) fn run(command: &Seed, screen: &Screen) -> Result<Outcome, Stop> {
    match command {
        Seed::Sites(options) => sites::run(options, screen),
        Seed::Rank(options) => rank::run(options, screen),
    }
}
