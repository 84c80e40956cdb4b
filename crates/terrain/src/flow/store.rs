//! Tiles in memory, and those put away so that the others have room.

use rayon::prelude::*;

use super::tile::{Label, Tile};
use super::windowed::FlowError;
use crate::{Scratch, Source};

/// Where a tile is.
enum State {
    Unread,
    /// With the number of the turn in which it was worked on last.
    InMemory(Tile, usize),
    PutAway(Label),
    Done,
}

/// All tiles of a grid.
pub(super) struct Store<'a, S, P> {
    source: &'a S,
    scratch: &'a P,
    states: Vec<State>,
    /// Bytes that tiles in memory may take.
    budget: usize,
    turn: usize,
}

impl<'a, S: Source, P: Scratch> Store<'a, S, P> {
    pub(super) fn new(source: &'a S, scratch: &'a P, tiles: usize, budget: usize) -> Self {
        let states = (0..tiles).map(|_| State::Unread).collect();
        Self { source, scratch, states, budget, turn: 0 }
    }

    pub(super) fn is_in_memory(&self, tile: usize) -> bool {
        matches!(self.states[tile], State::InMemory(..))
    }

    /// Works on some tiles at once; `job` gets each as it is, `None` when it was never read, and
    /// gives it back with what it found, `None` when it is done with. Room for all at their largest
    /// (`bytes` each) is made before, those not worked on for the longest time going first.
    pub(super) fn work<T: Send, W: Send>(
        &mut self,
        tiles: &[usize],
        bytes: usize,
        job: impl Fn(usize, Option<Tile>) -> Result<(Option<Tile>, T), Failed<S, W, P>> + Sync,
    ) -> Result<Vec<T>, Failed<S, W, P>> {
        self.turn += 1;
        let taken: Vec<_> = tiles
            .iter()
            .map(|&tile| (tile, std::mem::replace(&mut self.states[tile], State::Done)))
            .collect();
        self.make_room(bytes.saturating_mul(tiles.len()))?;
        let (source, scratch) = (self.source, self.scratch);
        let worked: Vec<_> = taken
            .into_par_iter()
            .with_max_len(1)
            .map(|(tile, state)| job(tile, take(source, scratch, tile, state)?))
            .collect::<Result<_, _>>()?;
        let mut found = Vec::with_capacity(worked.len());
        for (&tile, (state, one)) in tiles.iter().zip(worked) {
            if let Some(state) = state {
                self.states[tile] = State::InMemory(state, self.turn);
            }
            found.push(one);
        }
        Ok(found)
    }

    /// Puts tiles away until the others leave so many bytes free, or none is left.
    fn make_room<W: Send>(&mut self, bytes: usize) -> Result<(), Failed<S, W, P>> {
        let states = self.states.iter_mut().enumerate();
        let mut held: Vec<_> = states
            .filter_map(|(tile, state)| match state {
                State::InMemory(kept, turn) => Some((*turn, tile, kept.bytes())),
                _ => None,
            })
            .collect();
        held.sort_unstable();
        let mut over = held.iter().map(|one| one.2).sum::<usize>().saturating_add(bytes);
        let mut leaving = Vec::new();
        for (_, tile, bytes) in held {
            if over <= self.budget {
                break;
            }
            over -= bytes;
            let state = std::mem::replace(&mut self.states[tile], State::Done);
            if let State::InMemory(kept, _) = state {
                leaving.push((tile, kept));
            }
        }
        let scratch = self.scratch;
        let left = leaving.into_par_iter().with_max_len(1).map(|(tile, kept)| {
            scratch.put(tile, &kept.to_bytes()).map_err(FlowError::PutAway)?;
            Ok((tile, kept.label()))
        });
        for (tile, label) in left.collect::<Result<Vec<_>, _>>()? {
            self.states[tile] = State::PutAway(label);
        }
        Ok(())
    }
}

/// What may go wrong.
pub(super) type Failed<S, W, P> = FlowError<<S as Source>::Error, W, <P as Scratch>::Error>;

fn take<S: Source, W, P: Scratch>(
    source: &S,
    scratch: &P,
    tile: usize,
    state: State,
) -> Result<Option<Tile>, Failed<S, W, P>> {
    match state {
        State::Unread | State::Done => Ok(None),
        State::InMemory(kept, _) => Ok(Some(kept)),
        State::PutAway(label) => {
            let mut bytes = Vec::new();
            scratch.take(tile, &mut bytes).map_err(FlowError::PutAway)?;
            if bytes.len() != label.bytes() {
                return Err(FlowError::Scratch {
                    tile,
                    found: bytes.len(),
                    expected: label.bytes(),
                });
            }
            Tile::restore(label, &bytes, source).map(Some).map_err(FlowError::Read)
        }
    }
}
