//! What comes after planting, and the arithmetic of orders.
//!
//! ```text
//! plots counted ─► alive of counted ─► interval ─► decision ─► missing ─► plants to order ─► trays, lots
//!  (plots)                            (wilson)   (blanking)              (binomial)        (rounding)
//! ```
//! Every number here takes plants for independent of each other: each lives or dies by itself, with one
//! chance for all of them. Those that stand together share soil, weather and browsing, so a real count says
//! less than its interval, and a real order wants more than its least. [`design_effect`] tells by how much.
#![forbid(unsafe_code)]

mod alike;
mod binomial;
mod blanking;
mod crew;
mod normal;
mod plots;
mod rounding;
mod wilson;

pub use alike::design_effect;
pub use binomial::{Binomial, MAX_PLANTS, plants_for};
pub use blanking::{Decision, USUAL_THRESHOLD, blanking_plants, decide, living_plants};
pub use crew::{CONTRACT_RATE, FIT_PERSON_RATE, PlantingRate, calendar_days};
pub use normal::{normal_above, normal_density, normal_quantile};
pub use plots::{PlotsNeeded, plot_plan_area_ha, plot_radius_m, plots_needed};
pub use rounding::{OrderRules, RoundedOrder};
pub use wilson::{Interval, wilson};
