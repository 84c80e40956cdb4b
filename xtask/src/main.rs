//! Chores.
fn main() {}
