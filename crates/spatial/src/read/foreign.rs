//! The few GDAL calls that the safe bindings lack. All unsafe code of the project is in this file.
#![expect(unsafe_code, reason = "resampling method and arcs are not in the safe bindings")]

use std::ptr::{null, null_mut};

use gdal::Dataset;
use gdal::cpl::CslStringList;
use gdal::errors::Result as GdalResult;
use gdal::vector::Geometry;
use gdal_sys::{CPLErr, GDALResampleAlg, OGRErr, OGRwkbByteOrder};

use super::chatter;

/// How values are found for cells that do not coincide with the source's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Resampling {
    /// The value of the source cell under the target cell's centre.
    Nearest,
    /// Distance-weighted mean of the source cells around it; holes take no part.
    Bilinear,
    /// The value that covers most of the target cell.
    Mode,
}

/// How far the warper's interpolated positions may be off, in source cells.
const POSITION_ERROR_CELLS: f64 = 0.001;

/// Resamples the first band of `source` into that of `target`; both carry their own
/// georeference. Target cells that no source cell reaches keep what they hold.
///
/// # Errors
/// GDAL's words when it cannot.
pub(super) fn reproject_image(
    source: &Dataset,
    target: &Dataset,
    resampling: Resampling,
) -> Result<(), String> {
    let algorithm = match resampling {
        Resampling::Nearest => GDALResampleAlg::GRA_NearestNeighbour,
        Resampling::Bilinear => GDALResampleAlg::GRA_Bilinear,
        Resampling::Mode => GDALResampleAlg::GRA_Mode,
    };
    let fixed = fixed_kernel().map_err(|error| error.to_string())?;
    // SAFETY: both handles belong to live datasets that outlive the call; null coordinate systems
    // mean "as the datasets say"; no progress function. GDAL copies the option block, which lends
    // the list of `fixed` only until the block is destroyed, before `fixed` is dropped.
    let outcome = unsafe {
        let options = gdal_sys::GDALCreateWarpOptions();
        if options.is_null() {
            return Err("GDAL has no memory for the warp".to_owned());
        }
        (*options).papszWarpOptions = fixed.as_ptr();
        let outcome = gdal_sys::GDALReprojectImage(
            source.c_dataset(),
            null(),
            target.c_dataset(),
            null(),
            algorithm,
            0.0,
            POSITION_ERROR_CELLS,
            None,
            null_mut(),
            options,
        );
        (*options).papszWarpOptions = null_mut();
        gdal_sys::GDALDestroyWarpOptions(options);
        outcome
    };
    if outcome == CPLErr::CE_None {
        return Ok(());
    }
    Err(chatter::take_failure().unwrap_or_else(|| "GDAL cannot reproject the raster".to_owned()))
}

/// Two by two source cells, whatever the sizes of the cells: GDAL's own choice widens the kernel
/// by the ratio of the cells and then no longer gives a plane back as a plane.
fn fixed_kernel() -> GdalResult<CslStringList> {
    let mut options = CslStringList::new();
    options.set_name_value("XSCALE", "1")?;
    options.set_name_value("YSCALE", "1")?;
    Ok(options)
}

/// A copy of a geometry in which every arc is a chain of straight pieces that turn at most
/// `degrees` each; `None` when GDAL cannot make one.
pub(super) fn straight_pieces(geometry: &Geometry, degrees: f64) -> Option<Geometry> {
    // SAFETY: the handle belongs to a live geometry; GDAL returns a new geometry that is ours.
    let copy =
        unsafe { gdal_sys::OGR_G_GetLinearGeometry(geometry.c_geometry(), degrees, null_mut()) };
    if copy.is_null() {
        return None;
    }
    // SAFETY: `copy` is a live geometry; the buffer holds the size GDAL asks for; the copy is
    // destroyed once and not used after.
    let bytes = unsafe {
        let size = usize::try_from(gdal_sys::OGR_G_WkbSize(copy)).unwrap_or(0);
        let mut bytes = vec![0_u8; size];
        let outcome =
            gdal_sys::OGR_G_ExportToIsoWkb(copy, OGRwkbByteOrder::wkbNDR, bytes.as_mut_ptr());
        gdal_sys::OGR_G_DestroyGeometry(copy);
        (outcome == OGRErr::OGRERR_NONE).then_some(bytes)
    };
    Geometry::from_wkb(&bytes?).ok()
}
