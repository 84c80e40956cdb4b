//! Setting a block out: the question and the answer.

use crate::apart::Apart;
use crate::{Face, guides, lattice, reach, rows, scatter, walk};

/// In what manner plants stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Manner {
    /// Rows along the contour, a row's spacing apart up and down the slope; straight rows along the
    /// block where the ground is on average gentler than `straight_below_deg`.
    ContourRows {
        /// Degrees from level.
        straight_below_deg: f64,
    },
    /// Squares, laid on the plane that lies closest to the ground, their sides along its contours.
    Squares,
    /// Triangles of equal sides, laid so.
    Triangles,
    /// Irregular, with no two much closer than others: as plants come up by themselves.
    Scattered,
}

/// What is asked of a block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// In what manner.
    pub manner: Manner,
    /// Plants that are to stand.
    pub plants: usize,
    /// Usual distance between neighbours on the ground, metres, above 0.
    pub spacing_m: f64,
    /// Closest that two may stand, as a share of the spacing, above 0 and at most 0.7.
    pub least_share: f64,
    /// Where chance starts, for what it decides.
    pub seed: u64,
}

impl Setting {
    /// Closest that two plants may stand, metres.
    pub(crate) fn least_m(&self) -> f64 {
        self.spacing_m * self.least_share
    }
}

/// Where a plant stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// Easting, metres.
    pub x: f64,
    /// Northing, metres.
    pub y: f64,
    /// Height of the ground, metres.
    pub height_m: f32,
    /// Its row, counted from 1 at the top of the block; 0 for none.
    pub row: u32,
}

impl Position {
    /// Distance to another in space, squared, square metres.
    #[must_use]
    pub fn apart_m2(&self, other: &Self) -> f64 {
        let (east, north) = (self.x - other.x, self.y - other.y);
        let up = f64::from(self.height_m - other.height_m);
        east * east + north * north + up * up
    }
}

/// A block that is set out.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingOut {
    /// Plants, row by row where there are rows.
    pub positions: Vec<Position>,
    /// Plants that found no place where they would not have stood too close.
    pub without_place: usize,
    /// Rows, 0 where there are none.
    pub rows: u32,
}

/// Sets a block out: exactly as many plants as are asked for, unless there is no place for all.
///
/// Plants stand within the outline, on ground that asks for some, and no two closer than
/// `least_share` of the spacing in space. How close they stand follows what each part of the ground
/// asks for.
///
/// # Cost
/// Time and memory go with the cells of the face: some 100 ns and 20 bytes each for rows along the
/// contour, less for others; and some hundred ns and under 64 bytes for a plant.
#[must_use]
pub fn set_out(face: &Face, setting: &Setting) -> SettingOut {
    let mut apart = Apart::new(face, setting.spacing_m, setting.plants);
    let rows = match setting.manner {
        Manner::ContourRows { straight_below_deg } => {
            let guides = guides::guides(face, setting.spacing_m, straight_below_deg);
            let reach = reach::reach(face, &guides);
            let lines = rows::rows(face, &reach, setting.spacing_m);
            walk::walk(face, &lines, setting, &mut apart)
        }
        Manner::Squares => lattice::lay(face, setting, 1.0, &mut apart),
        Manner::Triangles => lattice::lay(face, setting, 0.75_f64.sqrt(), &mut apart),
        Manner::Scattered => {
            scatter::scatter(face, setting, &mut apart);
            0
        }
    };
    if apart.len() < setting.plants {
        scatter::fill_up(face, setting, &mut apart);
    }
    let without_place = setting.plants - apart.len();
    SettingOut { positions: apart.into_positions(), without_place, rows }
}
