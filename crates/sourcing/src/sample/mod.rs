//! Where to look: a spatially balanced sample of candidate mother trees.
//!
//! ```text
//! stands ─► lattice or thinned list ─► allocation over strata ─► pivotal sample ─► balance
//! ```

#![cfg_attr(test, expect(clippy::float_cmp, reason = "the tests ask for exact values"))]

mod allocation;
mod balance;
mod lattice;
mod pivotal;
mod size;
mod thin;

pub use allocation::{Allocation, Stratum, allocate, rounded, variance_of_mean};
pub use balance::{BalanceError, spatial_balance};
pub use lattice::Lattice;
#[doc(hidden)]
pub use pivotal::pivotal_sample_slowly;
pub use pivotal::{Candidate, SampleError, pivotal_sample};
pub use size::{
    POPULATION_RULES, PopulationRule, gametes_to_hold, plants_to_hold, standard_error,
    trees_for_error, trees_for_error_of,
};
pub use thin::thinned;
