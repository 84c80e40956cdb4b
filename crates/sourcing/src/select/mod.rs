//! Which trees to take seed from.
//!
//! ```text
//! tree values ─► index ─► choose (rules) ─► mothers ─► gain, status number
//!                                     └─► trade_off: the same for few to many mothers
//! ```

mod breeding;
mod choose;
mod diversity;
mod index;
mod intensity;

pub use breeding::{Aim, Breeding, Inheritance, Trait};
pub use choose::{Candidate, Choice, ChooseError, Rules, choose};
pub use diversity::{chance_of_allele, group_coancestry, status_number};
pub use index::{Index, IndexError, desired_gains, smith_hazel};
pub use intensity::{
    intensity, intensity_burrows, intensity_of_best, reliability_of_mother, variance_loss,
};
