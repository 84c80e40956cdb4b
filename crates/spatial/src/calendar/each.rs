//! The jobs of the trade, as a table.
//!
//! Order and months: common practice, no source, except where a row names one. Months are those of the southern year.

/// People who do the work.
pub(super) mod who {
    pub(in super::super) const LANDOWNER: &str = "landowner";
    pub(in super::super) const CONSULTANT: &str = "consultant";
    pub(in super::super) const ADVISER: &str = "erosion adviser";
    pub(in super::super) const ANALYST: &str = "GIS analyst";
    pub(in super::super) const BEEKEEPER: &str = "beekeeper";
    pub(in super::super) const NURSERY: &str = "nursery";
    pub(in super::super) const COLLECTOR: &str = "seed collector";
    pub(in super::super) const CONTRACTOR: &str = "contractors";
    pub(in super::super) const FUNDER: &str = "funder";
}
use who::{
    ADVISER, ANALYST, BEEKEEPER, COLLECTOR, CONSULTANT, CONTRACTOR, FUNDER, LANDOWNER, NURSERY,
};

/// What is to be careful of in a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Care {
    /// Nothing beyond the usual.
    None,
    /// Spray and poison.
    Spray,
    /// Steep ground and people on it.
    Steep,
    /// Earth that is moved, and what lies in it.
    Earth,
    /// Asking first.
    Ask,
}

impl Care {
    /// In words.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::None => "",
            Self::Spray => {
                "spray drifts, harms bees and water, and poison kills more than pests: keep to the label and to buffers, \
                 use people who are licensed for it, not while anything flowers; local rules decide"
            }
            Self::Steep => {
                "steep, wet ground: a site safety plan before anyone goes, keep out from under and above bluffs, turn \
                 back when in doubt; power lines and recorded sites as the plan's cautions say; local rules and \
                 licensed people decide"
            }
            Self::Earth => {
                "earthworks on slopes may need consent and an engineer; stop and ask where bones, worked stone, shell \
                 or an old pit is found; local rules and licensed people decide"
            }
            Self::Ask => {
                "ask the owner, iwi and hapū first, and on public conservation land for a permit; no climbing, nobody \
                 alone on steep ground; local rules and licensed people decide"
            }
        }
    }
}

/// One job, for the whole plan or for each winter.
pub(super) struct Each {
    pub(super) id: &'static str,
    pub(super) name: &'static str,
    pub(super) who: &'static [&'static str],
    /// First and last month in which it can begin.
    pub(super) window: Option<[u8; 2]>,
    pub(super) months: u32,
    /// The year that its window lies in, counted from that of its winter; `None`: any.
    pub(super) year: Option<i32>,
    /// What it waits for, with months between.
    pub(super) after: &'static [(&'static str, u32)],
    /// What is handed on.
    pub(super) hands_on: &'static str,
    pub(super) care: Care,
    pub(super) source: &'static str,
}

const PRACTICE: &str = "common practice, no source";
const PRESS: &str = "trade press";

const PLAIN: Each = Each {
    id: "",
    name: "",
    who: &[],
    window: None,
    months: 1,
    year: None,
    after: &[],
    hands_on: "",
    care: Care::None,
    source: PRACTICE,
};

/// Jobs that are done once.
pub(super) static ONCE: [Each; 8] = [
    Each {
        id: "visit",
        name: "First visit: aims ranked, the block walked",
        who: &[LANDOWNER, CONSULTANT],
        hands_on: "site notes, sketch map",
        care: Care::Steep,
        ..PLAIN
    },
    Each {
        id: "layers",
        name: "Layers at the desk: ground, cover, rivers, lines, recorded sites",
        who: &[ANALYST],
        after: &[("visit", 0)],
        hands_on: "base map, ground that is kept clear",
        ..PLAIN
    },
    Each {
        id: "nectar",
        name: "Nectar of wild trees sampled in flower, tree by tree",
        who: &[CONSULTANT, BEEKEEPER],
        window: Some([10, 1]),
        after: &[("visit", 0)],
        hands_on: "lab sheet and field sheet (hillweave seed)",
        care: Care::Ask,
        ..PLAIN
    },
    Each {
        id: "erosion",
        name: "Erosion check: steep classes, slip scars, where poles or dense natives go instead",
        who: &[ADVISER, CONSULTANT],
        after: &[("layers", 0)],
        hands_on: "letter of advice",
        care: Care::Steep,
        ..PLAIN
    },
    Each {
        id: "zones",
        name: "Zones drawn, lines chosen",
        who: &[CONSULTANT],
        after: &[("layers", 0), ("erosion", 0), ("nectar", 0)],
        hands_on: "planting plan",
        ..PLAIN
    },
    Each {
        id: "talks",
        name: "Grant and carbon applications; talks with neighbours, iwi and council",
        who: &[LANDOWNER, CONSULTANT, FUNDER],
        months: 2,
        after: &[("zones", 0)],
        hands_on: "applications with map and areas, consents, answers about recorded sites",
        care: Care::Earth,
        ..PLAIN
    },
    Each {
        id: "tracks",
        name: "Tracks, fences, pads",
        who: &[CONTRACTOR],
        window: Some([2, 3]),
        year: Some(0),
        after: &[("talks", 0)],
        hands_on: "lines as built",
        care: Care::Earth,
        source: PRESS,
        ..PLAIN
    },
    Each {
        id: "hives",
        name: "First hives, nectar tested again",
        who: &[BEEKEEPER, LANDOWNER],
        window: Some([9, 12]),
        months: 2,
        year: Some(5),
        after: &[("plant", 48)],
        hands_on: "flowering dates, lab sheet",
        ..PLAIN
    },
];

/// Jobs of every winter.
pub(super) static EVERY_WINTER: [Each; 10] = [
    Each {
        id: "spray",
        name: "Spray of woody weeds; goats, pigs and hares",
        who: &[CONTRACTOR],
        window: Some([3, 4]),
        months: 2,
        year: Some(0),
        after: &[("talks", 0), ("tracks", 0)],
        hands_on: "spray diary, pest count",
        care: Care::Spray,
        source: PRESS,
    },
    Each {
        id: "walk",
        name: "Walk before planting: zones marked, drop points, safety plan",
        who: &[CONSULTANT, CONTRACTOR],
        window: Some([5, 6]),
        year: Some(0),
        after: &[("spray", 0)],
        hands_on: "cards.csv: line, count, spacing, boxes",
        care: Care::Steep,
        ..PLAIN
    },
    Each {
        id: "plant",
        name: "Planting",
        who: &[CONTRACTOR],
        window: Some([6, 9]),
        year: Some(0),
        after: &[("walk", 0)],
        hands_on: "tally by zone and day",
        care: Care::Steep,
        source: "June to September (trade press; a regional council's planting advice)",
        ..PLAIN
    },
    Each {
        id: "audit",
        name: "Audit plots behind the crew: spacing, depth, firmness",
        who: &[CONSULTANT],
        window: Some([7, 10]),
        year: Some(0),
        after: &[("plant", 0)],
        hands_on: "audit sheet",
        care: Care::Steep,
        ..PLAIN
    },
    Each {
        id: "release",
        name: "Release from weeds, first look for browsing",
        who: &[CONTRACTOR],
        window: Some([9, 11]),
        year: Some(0),
        after: &[("plant", 0)],
        hands_on: "spray diary",
        care: Care::Spray,
        ..PLAIN
    },
    Each {
        id: "count",
        name: "Survival counted in the plan's plots",
        who: &[CONSULTANT],
        window: Some([1, 3]),
        year: Some(1),
        after: &[("plant", 3)],
        hands_on: "counts (hillweave survival), what is to be blanked",
        care: Care::Steep,
        ..PLAIN
    },
    Each {
        id: "order_blanks",
        name: "Blanks ordered",
        who: &[CONSULTANT, NURSERY],
        window: Some([2, 4]),
        year: Some(1),
        after: &[("count", 0)],
        hands_on: "blanking.csv",
        ..PLAIN
    },
    Each {
        id: "blank",
        name: "Blanking: plants that died planted again",
        who: &[CONTRACTOR],
        window: Some([6, 9]),
        year: Some(1),
        after: &[("order_blanks", 1)],
        hands_on: "tally, zones as planted",
        care: Care::Steep,
        ..PLAIN
    },
    Each {
        id: "test",
        name: "Stocking tested after two years",
        who: &[CONSULTANT, FUNDER],
        window: Some([1, 3]),
        year: Some(2),
        after: &[("blank", 3)],
        hands_on: "counts of plots, claim",
        care: Care::Steep,
        ..PLAIN
    },
    Each {
        id: "final_blank",
        name: "Last blanking; slip scars planted closer or with poles",
        who: &[CONTRACTOR, ADVISER],
        window: Some([6, 9]),
        year: Some(2),
        after: &[("test", 1)],
        hands_on: "closing report",
        care: Care::Steep,
        ..PLAIN
    },
];

/// Ordering one line for one winter.
pub(super) static ORDER: Each = Each {
    id: "order",
    name: "Order",
    who: &[CONSULTANT, NURSERY],
    after: &[("zones", 0)],
    hands_on: "orders.csv, deliveries by date",
    source: "lead time of the stock file; January and February for the same winter where a nursery has plants (trade press)",
    ..PLAIN
};

/// Gathering seed for one line and winter.
pub(super) static COLLECT: Each = Each {
    id: "collect",
    name: "Seed gathered from mother trees",
    who: &[COLLECTOR, CONSULTANT],
    window: Some([2, 7]),
    after: &[("nectar", 0), ("zones", 0)],
    hands_on: "seed-lot record: place, date, mothers, weight",
    care: Care::Ask,
    ..PLAIN
};

/// Sowing it.
pub(super) static SOW: Each = Each {
    id: "sow",
    name: "Sown",
    who: &[NURSERY],
    window: Some([3, 8]),
    hands_on: "germination report",
    source: "sown March to August, ready in 9 to 12 months (a community nursery's guide)",
    ..PLAIN
};
