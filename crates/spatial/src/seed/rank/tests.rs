//! Rankings of small sheets.
