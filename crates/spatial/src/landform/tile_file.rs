//! Pieces of work put away in one file while their turn has not come.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use terrain::Scratch;

use crate::problem::Problem;

/// One file with a place for each key; a piece that has outgrown its place moves to the end.
pub(super) struct TileFile {
    inner: Mutex<Inner>,
    path: PathBuf,
}

struct Inner {
    file: File,
    places: Vec<Option<Place>>,
    end: u64,
}

#[derive(Clone, Copy)]
struct Place {
    from: u64,
    bytes: usize,
    room: usize,
}

impl TileFile {
    /// Begins an empty file.
    ///
    /// # Errors
    /// When the disk refuses.
    pub(super) fn begin(path: &Path) -> Result<Self, Problem> {
        let file = File::options().read(true).write(true).create_new(true).open(path);
        let file = file.map_err(|error| Problem::of_working_file(path, &error))?;
        let inner = Mutex::new(Inner { file, places: Vec::new(), end: 0 });
        Ok(Self { inner, path: path.to_path_buf() })
    }

    /// Gives its room on the disk back.
    ///
    /// # Errors
    /// When the disk refuses.
    pub(super) fn remove(self) -> Result<(), Problem> {
        drop(self.inner);
        std::fs::remove_file(&self.path)
            .map_err(|error| Problem::of_working_file(&self.path, &error))
    }
}

impl Scratch for TileFile {
    type Error = Problem;

    fn put(&self, key: usize, bytes: &[u8]) -> Result<(), Problem> {
        let mut inner = self.inner.lock().unwrap_or_else(PoisonError::into_inner);
        inner.put(key, bytes).map_err(|error| Problem::of_working_file(&self.path, &error))
    }

    fn take(&self, key: usize, bytes: &mut Vec<u8>) -> Result<(), Problem> {
        let mut inner = self.inner.lock().unwrap_or_else(PoisonError::into_inner);
        inner.take(key, bytes).map_err(|error| Problem::of_working_file(&self.path, &error))
    }
}

impl Inner {
    fn put(&mut self, key: usize, bytes: &[u8]) -> io::Result<()> {
        if self.places.len() <= key {
            self.places.resize(key + 1, None);
        }
        let kept = self.places[key].filter(|place| place.room >= bytes.len());
        let place = kept.unwrap_or(Place { from: self.end, bytes: 0, room: bytes.len() });
        self.file.seek(SeekFrom::Start(place.from))?;
        self.file.write_all(bytes)?;
        self.end = self.end.max(place.from + bytes.len() as u64);
        self.places[key] = Some(Place { bytes: bytes.len(), ..place });
        Ok(())
    }

    fn take(&mut self, key: usize, bytes: &mut Vec<u8>) -> io::Result<()> {
        let place = self.places.get(key).copied().flatten();
        let place = place.ok_or_else(|| io::Error::other("a piece that was never put away"))?;
        let first = bytes.len();
        bytes.resize(first + place.bytes, 0);
        self.file.seek(SeekFrom::Start(place.from))?;
        self.file.read_exact(&mut bytes[first..])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_come_back_after_they_have_grown_and_shrunk() {
        let room = tempfile::tempdir().unwrap();
        let file = TileFile::begin(&room.path().join("tiles")).unwrap();
        let back = |key| {
            let mut bytes = vec![9];
            file.take(key, &mut bytes).map(|()| bytes)
        };
        file.put(3, b"first").unwrap();
        file.put(0, b"other").unwrap();
        file.put(3, b"now a longer one").unwrap();
        file.put(0, b"o").unwrap();
        assert_eq!(back(3).unwrap(), b"\x09now a longer one");
        assert_eq!(back(0).unwrap(), b"\x09o");
        assert!(back(1).unwrap_err().found.contains("never"));
        assert!(TileFile::begin(&room.path().join("tiles")).is_err());
        file.remove().unwrap();
        assert!(!room.path().join("tiles").exists());
    }
}
