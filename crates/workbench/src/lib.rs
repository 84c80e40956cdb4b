//! The bench: a plan on a local page, where a rule changes and the mosaic answers.
//!
//! ```text
//! page ─► guard ─► server ─► bench: change ─► edit (texts) ─► pipeline, from the stage that is touched ─► scene ─► page
//!                                   undo, redo: texts as they were          save: all files or none
//! ```
//! A folder without a site begins with its files: `begin` tells what they hold, takes in what is dropped on the page,
//! and lays what the answers make on the bench.
//!
//! Nothing is reckoned here: every figure comes from the engine. It listens on this machine alone, and nothing
//! that it serves asks for anything elsewhere.

mod assets;
mod begin;
mod bench;
mod change;
mod classes;
mod cover;
mod edit;
mod files;
mod guard;
mod hand_over;
mod history;
mod pictures;
mod plan_now;
mod rehearsal;
mod rules;
mod save;
mod scene;
mod server;
mod table;
mod told;
mod trees;

pub use rehearsal::Rehearsal;
pub use server::{Open, Sitting};
