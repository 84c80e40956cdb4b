//! Where plants stand: density, spacing and slope.

pub mod density;
