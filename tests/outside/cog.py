#!/usr/bin/env python3
"""Cloud-optimised GeoTIFFs against readers that had no part in making them.

    cog.py FILE.tif ...
    cog.py --self-test FILE.tif

rio-cogeo by its function (its program exits 0 whatever it finds), GDAL's own check of the layout, and every cell read,
which alone notices a file that was cut off. Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import os
import shutil
import subprocess
import sys
import tempfile

from findings import Findings, self_test
from osgeo import gdal
from osgeo_utils.samples import validate_cloud_optimized_geotiff
from rio_cogeo.cogeo import cog_validate

gdal.UseExceptions()


def check(file):
    """All checks of one file."""
    findings = Findings()
    name = os.path.basename(file)
    try:
        valid, errors, warnings = cog_validate(file, strict=True, quiet=True)
    except Exception as error:  # what cannot be opened ends it by an exception
        valid, errors, warnings = False, [str(error)], []
    findings.check("rio-cogeo", valid and not errors, f"{name}: {errors} {warnings}")
    try:
        warnings, errors, _ = validate_cloud_optimized_geotiff.validate(file, full_check=True)
    except Exception as error:
        warnings, errors = [], [str(error)]
    findings.check("gdal's check", not errors, f"{name}: {errors}")
    # `gdalinfo -checksum` exits 0 on a file that was cut off; a copy to memory does not.
    ran = subprocess.run(["gdal_translate", "-q", "-of", "MEM", file, "none"], capture_output=True, text=True)
    findings.check("every cell is read", ran.returncode == 0, f"{name}: {ran.stderr[-300:]}")
    try:
        opened = gdal.Open(file)
        system, nodata = opened.GetSpatialRef(), opened.GetRasterBand(1).GetNoDataValue()
    except Exception:
        system, nodata = None, None
    findings.check("system", system is not None, name)
    findings.check("nodata", nodata is not None, name)
    return findings


def cut(source, target):
    """Half of a file."""
    with open(source, "rb") as whole, open(target, "wb") as half:
        bytes_ = whole.read()
        half.write(bytes_[: len(bytes_) * 3 // 4])


def large(kind, **options):
    """A spoiler: the raster enlarged and written as another kind."""
    def spoil(source, target):
        gdal.Translate(target, source, width=1024, height=1024, format=kind, **options)
    return spoil


def with_late_overviews(source, target):
    """Overviews behind the cells instead of before them."""
    large("GTiff", creationOptions=["TILED=YES"])(source, target)
    opened = gdal.Open(target, gdal.GA_Update)
    opened.BuildOverviews("AVERAGE", [2])


def without_nodata(source, target):
    """The same without what stands for a hole."""
    gdal.Translate(target, source, format="COG", noData="none")


def without_system(source, target):
    """The same without its coordinate system."""
    copy = gdal.Translate("", source, format="MEM")
    copy.SetProjection("")
    gdal.Translate(target, copy, format="COG")


FAULTS = [
    (None, shutil.copy),
    ("every cell is read", cut),
    ("rio-cogeo", large("GTiff")),
    ("gdal's check", with_late_overviews),
    ("nodata", without_nodata),
    ("system", without_system),
]


def main():
    """Checks, or proves itself."""
    if sys.argv[1:2] == ["--self-test"] and len(sys.argv) == 3:

        def run(spoil):
            with tempfile.TemporaryDirectory() as folder:
                target = os.path.join(folder, "spoiled.tif")
                spoil(sys.argv[2], target)
                return check(target)

        self_test(FAULTS, run)
    if len(sys.argv) < 2 or sys.argv[1].startswith("-"):
        sys.exit(__doc__)
    findings = Findings()
    for file in sys.argv[1:]:
        one = check(file)
        findings.found += one.found
        findings.checked = {name: findings.checked.get(name, 0) + many for name, many in one.checked.items()}
    findings.finish()


if __name__ == "__main__":
    main()
