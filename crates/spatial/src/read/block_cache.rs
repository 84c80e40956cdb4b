//! How much of its rasters GDAL may keep in memory.

use std::sync::Once;

/// Bytes that are enough for a row of tiles of every file that is open.
const MOST: usize = 64 << 20;

/// Bytes that hold a few tiles of every file that is open.
const LEAST: usize = 4 << 20;

/// Keeps GDAL's cache of blocks small: by itself it takes 5 % of the machine's memory. It must be
/// said before the first cell is read, for GDAL asks once.
pub(super) fn limit_block_cache() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| set(MOST));
}

/// Keeps the cache as small as a raster of so many bytes calls for, an eighth of it within limits;
/// without effect once a cell of any raster has been read.
pub(super) fn fit_block_cache(bytes: usize) {
    limit_block_cache();
    set((bytes / 8).clamp(LEAST, MOST));
}

fn set(bytes: usize) {
    // It fails only on a name or value with a zero byte in it.
    let _ = gdal::config::set_config_option("GDAL_CACHEMAX", &bytes.to_string());
}
