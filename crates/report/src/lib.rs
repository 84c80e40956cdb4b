//! A plan as a document: one HTML file to read from disk, and a PDF with map sheets.
//!
//! ```text
//! site, plan ─► gather (the engine reckons) ─► dossier ─► sections and sheets ─► HTML, PDF
//! ```
//! Nothing is reckoned here but counts of rows, and sums of hectares by rule of a scheme and of ground kept clear. Every
//! other figure of a table comes from a record by its JSON pointer, and the page keeps that pointer beside it, so that
//! anyone can hold the two together.

mod alike;
mod ask_first;
mod document;
mod font;
mod form;
mod gather;
mod html;
mod inputs;
mod letters;
mod map;
mod pdf;
mod record;
mod sections;
mod text;
mod write_report;

pub use form::Form;
pub use gather::{Asked, Dossier, gather};
pub use inputs::{Input, Inputs};
pub use write_report::{LeftOut, Summary, write_report};
