//! How much of a raster GDAL may keep in memory.

/// Bytes that are enough for a row of tiles of every file that is open.
const BYTES: &str = "268435456";

/// Keeps GDAL's cache of blocks small: by itself it takes 5 % of the machine's memory.
pub(crate) fn limit_block_cache() {
    // It fails only on a name or value with a zero byte in it.
    let _ = gdal::config::set_config_option("GDAL_CACHEMAX", BYTES);
}
