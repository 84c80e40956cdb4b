//! `[stock.tolerance]`.

use super::faults::Faults;
use super::section::{Bounds, Section};
use crate::columns::ENDS;
use crate::{DRAINAGE_CLASSES, Factor, Tolerance, Trapezoid};

/// Reads every factor; what is faulty is reported and left unlimited.
pub(super) fn tolerance(section: &Section<'_>, faults: &mut Faults<'_>) -> Tolerance {
    section.refuse_unknown(&Factor::ALL.map(Factor::key), faults);
    let mut tolerance = Tolerance::unlimited();
    for factor in Factor::NUMERIC {
        let expected = "a table such as { full_to = 35, none_above = 48 }";
        if let Some(ends) = section.section(factor.key(), expected, faults)
            && let Some(range) = range(factor, &ends, faults)
        {
            tolerance = tolerance.with(factor, range);
        }
    }
    let expected = "a table with a membership for each drainage class";
    if let Some(classes) = section.section(Factor::Drainage.key(), expected, faults)
        && let Some(memberships) = drainage(&classes, faults)
        && let Ok(drained) = tolerance.with_drainage(memberships)
    {
        tolerance = drained;
    }
    tolerance
}

/// The range of a numeric factor.
fn range(factor: Factor, ends: &Section<'_>, faults: &mut Faults<'_>) -> Option<Trapezoid> {
    ends.refuse_unknown(&ENDS, faults);
    if ends.is_empty() {
        let remedy = format!("take `{}` out if it does not limit", factor.key());
        ends.wrong("", "an empty table", "at least one end", remedy, faults);
    }
    let [least, greatest] = factor.plausible();
    let unit = factor.unit();
    let said = format!("a number from {least} to {greatest} {unit}").trim_end().to_owned();
    let bounds = Bounds { least, greatest, said };
    let values = ENDS.map(|key| ends.number(key, &bounds, faults));
    let [none_below, full_from, full_to, none_above] = values;
    both_or_neither(ends, ENDS[0], ENDS[1], faults);
    both_or_neither(ends, ENDS[3], ENDS[2], faults);
    rising(ends, &values, faults);
    Trapezoid::new(none_below.zip(full_from), full_to.zip(none_above)).ok()
}

/// Reports an end of which only one of the two values is there.
fn both_or_neither(ends: &Section<'_>, outer: &str, inner: &str, faults: &mut Faults<'_>) {
    let (given, missing) = match (ends.has(outer), ends.has(inner)) {
        (true, false) => (outer, inner),
        (false, true) => (inner, outer),
        _ => return,
    };
    let found = format!("`{given}` without `{missing}`");
    let expected = format!("both `{outer}` and `{inner}`, or neither");
    let remedy = format!("add `{missing}`, or take `{given}` out for an open end");
    ends.wrong(given, found, expected, remedy, faults);
}

/// Reports each value that does not rise above the one before it.
fn rising(ends: &Section<'_>, values: &[Option<f64>; 4], faults: &mut Faults<'_>) {
    for index in 1..ENDS.len() {
        let (Some(before), Some(value)) = (values[index - 1], values[index]) else { continue };
        let level_allowed = index == 2; // full_from may equal full_to: a peak
        if value > before || (level_allowed && value >= before) {
            continue;
        }
        let than = if level_allowed { "at least" } else { "more than" };
        let expected = format!("{than} {} = {before}", ENDS[index - 1]);
        let remedy = format!("write the values in rising order: {}", ENDS.join(", "));
        ends.wrong(ENDS[index], value.to_string(), expected, remedy, faults);
    }
}

/// Membership of every drainage class.
fn drainage(classes: &Section<'_>, faults: &mut Faults<'_>) -> Option<[f64; 5]> {
    classes.refuse_unknown(&DRAINAGE_CLASSES, faults);
    let said = "a membership from 0 (does not grow) to 1 (does not limit)".to_owned();
    let bounds = Bounds { least: 0.0, greatest: 1.0, said };
    let mut memberships = [0.0; 5];
    let mut complete = true;
    for (slot, class) in memberships.iter_mut().zip(DRAINAGE_CLASSES) {
        if !classes.has(class) {
            let remedy = format!("add `{class} = …`");
            classes.wrong(class, "nothing", &bounds.said, remedy, faults);
        }
        match classes.number(class, &bounds, faults) {
            Some(membership) => *slot = membership,
            None => complete = false,
        }
    }
    complete.then_some(memberships)
}
