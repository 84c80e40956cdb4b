//! `[calendar]`: which half of the Earth's seasons hold.

use almanac::Hemisphere;

use super::section::Section;

/// How months are told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct CalendarRules {
    /// Whose seasons hold; `None`: those of the property's latitude.
    pub hemisphere: Option<Hemisphere>,
}

/// Reads `[calendar]`.
pub(super) fn read(root: &Section<'_>) -> CalendarRules {
    let hemisphere = match root.child("calendar").text("hemisphere").as_deref() {
        Some("south") => Some(Hemisphere::South),
        Some("north") => Some(Hemisphere::North),
        _ => None,
    };
    CalendarRules { hemisphere }
}
