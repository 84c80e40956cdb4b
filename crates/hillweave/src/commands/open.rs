//! `hillweave open`: a plan on the bench, or files on their way to one.

use spatial::write::break_off;
use workbench::Open;

use crate::arguments;
use crate::outcome::{Outcome, Stop};
use crate::screen::Screen;

/// Plans the site, where there is one, and serves its page until Ctrl-C.
pub(crate) fn run(options: &arguments::Open, screen: &Screen) -> Result<Outcome, Stop> {
    let asked = Open { site: options.site.clone(), port: options.port };
    let sitting = asked.begin()?;
    screen.data(&format!("{}\n", sitting.link()))?;
    if asked.is_to_begin() {
        screen.talk(&format!(
            "{} has no site.toml yet: the page leads from its files to a first plan.\n",
            asked.site.display()
        ));
    }
    screen.talk(
        "open the link in a browser on this machine; it works once. Ctrl-C ends the sitting.\n",
    );
    sitting.serve()?;
    break_off(); // a file that was being made for the page
    Ok(Outcome::Done)
}
