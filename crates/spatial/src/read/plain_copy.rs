//! Cells of a raster put down row by row in a plain file, from which any window is read quickly.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use terrain::Window;

use crate::problem::Problem;

/// Bytes of a cell.
const CELL: usize = size_of::<f32>();

/// Cells of 32-bit floating-point numbers, row after row.
pub(super) struct PlainCopy {
    file: Mutex<File>,
    path: PathBuf,
    cols: usize,
}

impl PlainCopy {
    /// Begins a copy of a raster with so many columns.
    ///
    /// # Errors
    /// When there is a file at the path, or the disk refuses.
    pub(super) fn begin(path: &Path, cols: usize) -> Result<Self, Problem> {
        let file = File::options().read(true).write(true).create_new(true).open(path);
        let file = file.map_err(|error| Problem::of_working_file(path, &error))?;
        Ok(Self { file: Mutex::new(file), path: path.to_path_buf(), cols })
    }

    /// Takes the cells of a window.
    ///
    /// # Errors
    /// When the disk refuses.
    pub(super) fn put(&self, window: Window, cells: &[f32]) -> Result<(), Problem> {
        let bytes: Vec<u8> = cells.iter().flat_map(|cell| cell.to_le_bytes()).collect();
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        self.runs(window)
            .zip(bytes.chunks(self.run_cells(window) * CELL))
            .try_for_each(|(from, run)| {
                file.seek(SeekFrom::Start(from))?;
                file.write_all(run)
            })
            .map_err(|error| Problem::of_working_file(&self.path, &error))
    }

    /// Gives the cells of a window that was put, into room for exactly as many.
    ///
    /// # Errors
    /// When the disk refuses.
    pub(super) fn take(&self, window: Window, cells: &mut [f32]) -> Result<(), Problem> {
        let mut bytes = vec![0; self.run_cells(window) * CELL];
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        for (from, run) in self.runs(window).zip(cells.chunks_mut(self.run_cells(window))) {
            let read = file.seek(SeekFrom::Start(from)).and_then(|_| file.read_exact(&mut bytes));
            read.map_err(|error| Problem::of_working_file(&self.path, &error))?;
            for (cell, stored) in run.iter_mut().zip(bytes.as_chunks::<CELL>().0) {
                *cell = f32::from_le_bytes(*stored);
            }
        }
        Ok(())
    }

    /// Cells of a window that lie one after another in the file: a row, or all of whole rows.
    fn run_cells(&self, window: Window) -> usize {
        if window.cols == self.cols { window.len() } else { window.cols }
    }

    /// Where in the file each of these runs begins.
    fn runs(&self, window: Window) -> impl Iterator<Item = u64> + use<> {
        let runs = window.len() / self.run_cells(window).max(1);
        let (cols, cell) = (self.cols as u64, CELL as u64);
        (window.row..window.row + runs)
            .map(move |row| (row as u64 * cols + window.col as u64) * cell)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn windows_come_back_however_they_were_put() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("copy");
        let copy = PlainCopy::begin(&path, 7).unwrap();
        let value = |at: usize| if at == 17 { f32::NAN } else { at as f32 };
        let put = |window: Window| {
            let rows = window.row..window.row + window.rows;
            let cells: Vec<f32> = rows
                .flat_map(|row| {
                    (window.col..window.col + window.cols).map(move |col| row * 7 + col)
                })
                .map(value)
                .collect();
            copy.put(window, &cells).unwrap();
        };
        // The lower half in whole rows, the upper in two blocks.
        put(Window { row: 3, col: 0, rows: 2, cols: 7 });
        put(Window { row: 0, col: 4, rows: 3, cols: 3 });
        put(Window { row: 0, col: 0, rows: 3, cols: 4 });
        let window = Window { row: 1, col: 2, rows: 3, cols: 4 };
        let mut cells = vec![0.0; window.len()];
        copy.take(window, &mut cells).unwrap();
        let expected = [9, 10, 11, 12, 16, 17, 18, 19, 23, 24, 25, 26].map(value);
        assert_eq!(cells.map_bits(), expected.map_bits());
        let mut whole = vec![0.0; 35];
        copy.take(Window { row: 0, col: 0, rows: 5, cols: 7 }, &mut whole).unwrap();
        assert_eq!(whole[34].to_bits(), 34.0_f32.to_bits());
        let beyond = Window { row: 5, col: 0, rows: 1, cols: 7 };
        assert!(copy.take(beyond, &mut whole[..7]).is_err());
        assert!(PlainCopy::begin(&path, 7).is_err());
    }

    trait MapBits {
        fn map_bits(&self) -> Vec<u32>;
    }

    impl<T: AsRef<[f32]>> MapBits for T {
        fn map_bits(&self) -> Vec<u32> {
            self.as_ref().iter().map(|cell| cell.to_bits()).collect()
        }
    }
}
