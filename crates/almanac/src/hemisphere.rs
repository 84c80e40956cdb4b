//! Which half of the Earth: seasons lie half a year apart.

/// A half of the Earth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hemisphere {
    /// South of the equator: winter is June to August.
    South,
    /// North of it: winter is December to February.
    North,
}

impl Hemisphere {
    /// That of a latitude, degrees; the equator counts as south.
    #[must_use]
    pub fn of_latitude_deg(latitude_deg: f64) -> Self {
        if latitude_deg > 0.0 { Self::North } else { Self::South }
    }

    /// A month of the southern year, 1 to 12, as the month of the same season here.
    ///
    /// ```
    /// use almanac::Hemisphere;
    /// assert_eq!(Hemisphere::North.month(6), 12);
    /// assert_eq!(Hemisphere::North.month(9), 3);
    /// assert_eq!(Hemisphere::South.month(9), 9);
    /// ```
    #[must_use]
    pub fn month(self, southern: u8) -> u8 {
        match self {
            Self::South => southern,
            Self::North => (southern + 5) % 12 + 1,
        }
    }

    /// Months from a month of the southern year to that of the same season here.
    #[must_use]
    pub fn shift(self) -> i32 {
        match self {
            Self::South => 0,
            Self::North => 6,
        }
    }
}
