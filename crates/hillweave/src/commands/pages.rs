//! Pages made from tables: completions, the manual, reference pages.

use clap::CommandFactory;

use crate::arguments::{Arguments, Completions, Page, Reference};
use crate::outcome::{Outcome, Stop};
use crate::screen::Screen;

/// Prints a completion script.
pub(crate) fn completions(options: &Completions, screen: &Screen) -> Result<Outcome, Stop> {
    let mut script = Vec::new();
    clap_complete::generate(options.shell, &mut Arguments::command(), "hillweave", &mut script);
    screen.data(&String::from_utf8_lossy(&script))?;
    Ok(Outcome::Done)
}

/// Prints the manual page, with every command in it.
pub(crate) fn manual(screen: &Screen) -> Result<Outcome, Stop> {
    let mut page = Vec::new();
    let mut command = Arguments::command();
    command.build();
    clap_mangen::Man::new(command.clone()).render(&mut page)?;
    for part in command.get_subcommands().filter(|part| !part.is_hide_set()) {
        let name = format!("hillweave-{}", part.get_name());
        clap_mangen::Man::new(part.clone().display_name(name)).render(&mut page)?;
    }
    screen.data(&String::from_utf8_lossy(&page))?;
    Ok(Outcome::Done)
}

/// Prints a reference page.
pub(crate) fn reference(options: &Reference, screen: &Screen) -> Result<Outcome, Stop> {
    let page = match options.page {
        Page::Columns => spatial::write::dictionary_markdown(),
        Page::SiteKeys => spatial::site::keys_markdown(),
        Page::StockKeys => stock::stock_keys_markdown(),
        Page::Styles => spatial::write::styles_in_one(),
    };
    screen.data(&page)?;
    Ok(Outcome::Done)
}
