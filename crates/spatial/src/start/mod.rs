//! From a folder of files to a first site.
//!
//! ```text
//! folder ─► what each file holds ─► guesses ─► answers of a person ─► site.toml ─► look: what `check` says of it
//!           (read::found)           (role,                           (compose)
//!                                    classes)
//! ```
//! A guess is a suggestion with its reason; what the answers say is what is written. Nothing is written here but what
//! [`write_site`] and [`tell_system`] are asked for, and neither writes over a file.

mod answers;
mod classes;
mod compose;
mod folder;
mod guess;
mod look;
mod preset;
mod system;

pub use answers::{Answers, CoverAnswer, DrainageAnswer, KeepClearAnswer, Role, Use};
pub use classes::{guess_drainage, guess_treatment};
pub use compose::compose;
pub use folder::{FoundFile, Holds, folder, is_plain_name, layer_of};
pub use guess::{Guess, guess};
pub use look::{Look, Placed, heard, look, write_site};
pub use preset::{Preset, presets};
pub use system::{Trial, systems, tell_system};
