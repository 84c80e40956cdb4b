//! partition
