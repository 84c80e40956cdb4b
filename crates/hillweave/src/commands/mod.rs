//! One file a command.

pub(crate) mod calendar;
pub(crate) mod chances;
pub(crate) mod check;
pub(crate) mod compare;
pub(crate) mod cover;
pub(crate) mod eligible;
pub(crate) mod export;
pub(crate) mod folder;
pub(crate) mod ground;
pub(crate) mod money;
pub(crate) mod new;
pub(crate) mod open;
pub(crate) mod pages;
pub(crate) mod plan;
pub(crate) mod report;
pub(crate) mod season;
pub(crate) mod seed;
pub(crate) mod stock;
pub(crate) mod survival;
