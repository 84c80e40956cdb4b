//! `hillweave new`: a commented starter site.

use serde::Serialize;
use spatial::write::StagedFolder;

use crate::arguments;
use crate::outcome::{Outcome, Stop};
use crate::screen::{Ink, Screen};

/// Writes the starter files into a new folder.
pub(crate) fn run(options: &arguments::New, screen: &Screen) -> Result<Outcome, Stop> {
    let folder = StagedFolder::begin(&options.folder, false)?;
    let files = spatial::site::starter_files(stock::STARTER);
    for (name, text) in &files {
        folder.write(name, text.as_bytes())?;
    }
    folder.commit()?;
    let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
    screen.json(&Started { schema: "hillweave.new/1", files: &names })?;
    let place = screen.ink(Ink::Hint, &options.folder.display().to_string());
    screen.words(&format!(
        "starter site written to {place}: {}\n\
         next: put the property's layers beside it, name them in site.toml, then\n  \
         hillweave check {}\n",
        names.join(", "),
        options.folder.join("site.toml").display()
    ))?;
    Ok(Outcome::Done)
}

/// What a script is told.
#[derive(Serialize)]
struct Started<'a> {
    schema: &'static str,
    files: &'a [&'a str],
}
