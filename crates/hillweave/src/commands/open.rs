//! `hillweave open`: a plan on the bench.

use workbench::Open;

use crate::arguments;
use crate::outcome::{Outcome, Stop};
use crate::screen::Screen;

/// Plans the site and serves its page until Ctrl-C.
pub(crate) fn run(options: &arguments::Open, screen: &Screen) -> Result<Outcome, Stop> {
    let asked = Open { site: options.site.clone(), port: options.port };
    let sitting = asked.begin()?;
    screen.data(&format!("{}\n", sitting.link()))?;
    screen.talk(
        "open the link in a browser on this machine; it works once. Ctrl-C ends the sitting.\n",
    );
    sitting.serve()?;
    Ok(Outcome::Done)
}
