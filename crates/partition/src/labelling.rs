//! What each face lies inside of.
//!
//! Linework of every mark is closed, so how often it winds round a face follows exactly from the
//! edges crossed on any way there; the ways cannot disagree. A face of which no label remains the
//! only one (a sliver where straightened arcs met another line within a step) takes the one it
//! shares the longest border with.

use crate::arrangement::{Arrangement, Mark, Winding};
use crate::faces::{Faces, UNBOUNDED, twin};
use crate::layers::LayerSet;

/// What a connected bit of ground lies inside of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Place {
    /// The label of its cells, `None` off the lattice. Exact but for straightening: near a border the
    /// label may be that of a cell next to it.
    pub label: Option<u32>,
    /// The layers over it. Exact.
    pub layers: LayerSet,
    /// The position of its unit, of several the first; `None` in no unit. Exact.
    pub unit: Option<u32>,
}

/// The place of every face.
pub(crate) fn places(arrangement: &Arrangement, faces: &Faces) -> Vec<Place> {
    let windings = windings(arrangement, faces);
    let sole: Vec<_> = windings.iter().map(sole_label).collect();
    let place = |(face, winding): (u32, &Winding)| {
        let label =
            sole[face as usize].or_else(|| longest_label(face, winding, &sole, arrangement, faces));
        let Some(Mark::Label(label)) = label else { return Place::default() };
        Place { label, layers: layers(winding), unit: first_unit(winding) }
    };
    (0_u32..).zip(&windings).map(place).collect()
}

/// How often the linework of each mark winds round each face, spread from the unbounded face.
fn windings(arrangement: &Arrangement, faces: &Faces) -> Vec<Winding> {
    let mut windings = vec![None; faces.count()];
    windings[UNBOUNDED as usize] = Some(Winding::once(Mark::Label(None)));
    let mut open = vec![UNBOUNDED];
    while let Some(face) = open.pop() {
        for half_edge in faces.half_edges(face) {
            let across = faces.left_of(twin(half_edge)) as usize;
            if windings[across].is_none() {
                let mut winding = windings[face as usize].clone().unwrap_or_default();
                let times = if half_edge % 2 == 0 { -1 } else { 1 };
                winding.add(&arrangement.changes[half_edge as usize / 2], times);
                windings[across] = Some(winding);
                open.push(across as u32);
            }
        }
    }
    windings.into_iter().map(Option::unwrap_or_default).collect()
}

fn labels(winding: &Winding) -> impl Iterator<Item = Mark> {
    winding.inside().filter(|mark| matches!(mark, Mark::Label(_)))
}

fn layers(winding: &Winding) -> LayerSet {
    winding.inside().fold(LayerSet::default(), |set, mark| match mark {
        Mark::Layer(layer) => set.with(layer),
        Mark::Label(_) | Mark::Unit(_) => set,
    })
}

fn first_unit(winding: &Winding) -> Option<u32> {
    winding.inside().find_map(|mark| match mark {
        Mark::Unit(unit) => Some(unit),
        Mark::Label(_) | Mark::Layer(_) => None,
    })
}

/// The label of a face if only one winds round it.
fn sole_label(winding: &Winding) -> Option<Mark> {
    let mut labels = labels(winding);
    labels.next().filter(|_| labels.next().is_none())
}

/// Of the labels that wind round a face, the one its surest neighbours share most border with.
fn longest_label(
    face: u32,
    winding: &Winding,
    sole: &[Option<Mark>],
    arrangement: &Arrangement,
    faces: &Faces,
) -> Option<Mark> {
    let mut best: Option<(f64, Mark)> = None;
    for label in labels(winding) {
        let shared = faces
            .half_edges(face)
            .filter(|&h| sole[faces.left_of(twin(h)) as usize] == Some(label))
            .fold(0.0, |sum, h| sum + arrangement.length(h / 2));
        if best.is_none_or(|(most, _)| shared > most) {
            best = Some((shared, label));
        }
    }
    best.map(|(_, label)| label)
}
