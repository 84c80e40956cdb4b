//! A plan as a document: one HTML file to read from disk, and a PDF with map sheets.
//!
//! ```text
//! site, plan ─► gather (the engine reckons) ─► dossier ─► sections and sheets ─► HTML, PDF
//! ```
//! Nothing is reckoned here. Every figure of a table comes from a record by its JSON pointer, and the page keeps that
//! pointer beside it, so that anyone can hold the two together.

mod document;
mod font;
mod form;
mod gather;
mod html;
mod map;
mod pdf;
mod record;
mod sections;
mod text;
mod write_report;

pub use form::Form;
pub use gather::{Asked, Dossier, gather};
pub use write_report::{LeftOut, Summary, write_report};
