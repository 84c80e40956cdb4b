//! How much of its rasters GDAL may keep in memory.

use std::sync::Once;

/// Bytes that are enough for a row of tiles of every file that is open.
const BYTES: &str = "67108864";

/// Keeps GDAL's cache of blocks small: by itself it takes 5 % of the machine's memory. It must be
/// said before the first cell is read, for GDAL asks once.
pub(super) fn limit_block_cache() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        // It fails only on a name or value with a zero byte in it.
        let _ = gdal::config::set_config_option("GDAL_CACHEMAX", BYTES);
    });
}
