//! Local seed of one property: where to sample its stands, and what comes of the sheets.

pub mod columns;
