//! A report as a PDF: A4 pages of text, A3 map sheets, drawn as vectors, its fonts inside.

mod layout;
mod write;

pub(crate) use write::pdf;
