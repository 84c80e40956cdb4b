//! What the tests of hard knocks have in common: files spoilt on purpose, a watch over what reads them, a site with
//! every kind of file.
#![allow(
    dead_code,
    unreachable_pub,
    clippy::unwrap_used,
    clippy::panic,
    reason = "each test file uses its own part, and a test that stops has failed"
)]

pub mod spoil;
pub mod watch;
pub mod yard;
