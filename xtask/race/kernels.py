#!/usr/bin/env python3
"""Outside libraries' own compute time on the terrain tasks that `cargo xtask race` times.

    kernels.py ELEVATION.f32 COLS ROWS CELL_M FOLDER

ELEVATION.f32 holds bare float32 heights, row by row, without holes. FOLDER holds our results, bare float32
too: fill, d8 (square metres), multiple_flow (square metres), slope, aspect (degrees). Flow starts from our filled surface.

Reads requests from standard input, one a line, and answers each with a line of JSON:

    versions                {"versions": "..."}
    TASK TOOL               {"seconds": "..."}     importing, compiling and copying in are not counted
    TASK TOOL compare       {"seconds": "...", "agrees": "..."}   beside our result
    TASK longhand compare   our own flow (d8, multiple_flow) beside a slow, obvious one
    TASK file FILE          a result that another program wrote, beside ours; slope and aspect apart
    anything that cannot be {"missing": "why"}
"""

import contextlib
import importlib
import importlib.metadata
import json
import os
import sys
import time

import numpy

PACKAGES = {"richdem": "py-richdem", "topotoolbox": "topotoolbox", "scikit-image": "scikit-image",
            "pyflwdir": "pyflwdir", "pysheds": "pysheds", "xarray-spatial": "xarray-spatial"}


class Course:
    """The ground, and our results on it."""

    def __init__(self, file, cols, rows, cell, folder):
        self.shape, self.cell, self.folder = (int(rows), int(cols)), float(cell), folder
        self.elevation = self.read(file)
        if not numpy.isfinite(self.elevation).all():
            raise ValueError("the elevation has holes")
        self.longhand = {}

    def read(self, file):
        """Bare floats as rows and columns; SAGA begins in the south."""
        cells = numpy.fromfile(file, dtype="<f4").reshape(self.shape)
        return cells[::-1] if file.endswith(".sdat") else cells

    def ours(self, task):
        """Our result of a task."""
        return self.read(os.path.join(self.folder, f"{task}.f32"))


    def once(self, task, work):
        """A longhand result on our filled surface, kept."""
        if task not in self.longhand:
            numba = importlib.import_module("numba")
            filled = self.ours("fill")
            order = numpy.argsort(filled, axis=None, kind="stable")[::-1]
            self.longhand[task] = numba.njit(work)(filled, order)
        return self.longhand[task]


def timed(work):
    """Seconds that a piece of work took, and its result."""
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


# --- the tools: each prepares its input, then times its own work alone ---

def rich(course, cells):
    """A copy of some cells as richdem holds them."""
    richdem = importlib.import_module("richdem")
    array = richdem.rdarray(cells.copy(), no_data=-9999.0)
    array.geotransform = (0.0, course.cell, 0.0, 0.0, 0.0, -course.cell)
    return richdem, array


def richdem_fill(course):
    richdem, dem = rich(course, course.elevation)
    seconds, _ = timed(lambda: richdem.FillDepressions(dem, epsilon=False, in_place=True, topology="D8"))
    return seconds, dem


def richdem_d8(course):
    richdem, dem = rich(course, course.ours("fill"))

    def work():
        richdem.ResolveFlats(dem, in_place=True)
        return richdem.FlowAccumulation(dem, method="D8")
    return timed(work)


def richdem_multiple_flow(course):
    richdem, dem = rich(course, course.ours("fill"))
    return timed(lambda: richdem.FlowAccumulation(dem, method="Freeman", exponent=1.1))


def richdem_slope_aspect(course):
    richdem, dem = rich(course, course.elevation)
    return timed(lambda: (richdem.TerrainAttribute(dem, attrib="slope_degrees"), richdem.TerrainAttribute(dem, attrib="aspect")))


def topo(course, cells):
    """A copy of some cells as topotoolbox holds them."""
    topotoolbox = importlib.import_module("topotoolbox")
    grid = topotoolbox.GridObject()
    grid.z, grid.cellsize = cells.copy(), course.cell
    return topotoolbox, grid


def topotoolbox_fill(course):
    _, grid = topo(course, course.elevation)
    seconds, filled = timed(grid.fillsinks)
    return seconds, filled.z


def topotoolbox_d8(course):
    topotoolbox, grid = topo(course, course.ours("fill"))
    seconds, cells = timed(lambda: topotoolbox.FlowObject(grid).flow_accumulation())
    return seconds, cells.z


def skimage_fill(course):
    morphology = importlib.import_module("skimage.morphology")
    seed = course.elevation.copy()
    seed[1:-1, 1:-1] = course.elevation.max()
    return timed(lambda: morphology.reconstruction(seed, course.elevation, method="erosion", footprint=numpy.ones((3, 3))))


def pyflwdir_fill(course):
    dem = importlib.import_module("pyflwdir.dem")
    seconds, (filled, _) = timed(lambda: dem.fill_depressions(course.elevation, outlets="edge"))
    return seconds, filled


def pyflwdir_d8(course):
    pyflwdir = importlib.import_module("pyflwdir")
    elevation = course.elevation  # its directions come with its filling

    def work():
        _, directions = pyflwdir.dem.fill_depressions(elevation, outlets="edge")
        return pyflwdir.from_array(directions, ftype="d8", check_ftype=False).upstream_area("cell")
    return timed(work)


def sheds(course, cells):
    """Some cells as pysheds holds them."""
    sgrid, view = importlib.import_module("pysheds.sgrid"), importlib.import_module("pysheds.view")
    affine = importlib.import_module("affine")
    cell = course.cell
    finder = view.ViewFinder(affine=affine.Affine(cell, 0, 0, 0, -cell, 0), shape=course.shape, nodata=numpy.float32(-9999.0))
    raster = view.Raster(cells.copy(), viewfinder=finder)
    return sgrid.sGrid.from_raster(raster), raster


def pysheds_fill(course):
    grid, dem = sheds(course, course.elevation)
    return timed(lambda: grid.fill_depressions(dem))


def pysheds_d8(course):
    grid, dem = sheds(course, course.ours("fill").astype("float64"))
    return timed(lambda: grid.accumulation(grid.flowdir(grid.resolve_flats(dem))))


def xrspatial_slope_aspect(course):
    xrspatial, xarray = importlib.import_module("xrspatial"), importlib.import_module("xarray")
    rows, cols = course.shape
    dem = xarray.DataArray(course.elevation, dims=["y", "x"], attrs={"res": (course.cell, course.cell)},
                           coords={"y": -course.cell * numpy.arange(rows), "x": course.cell * numpy.arange(cols)})
    seconds, (slope, aspect) = timed(lambda: (xrspatial.slope(dem).data, xrspatial.aspect(dem).data))
    return seconds, (slope, aspect)


WORK = {
    ("fill", "richdem"): richdem_fill,
    ("fill", "topotoolbox"): topotoolbox_fill,
    ("fill", "scikit-image"): skimage_fill,
    ("fill", "pyflwdir"): pyflwdir_fill,
    ("fill", "pysheds"): pysheds_fill,
    ("d8", "richdem"): richdem_d8,
    ("d8", "topotoolbox"): topotoolbox_d8,
    ("d8", "pyflwdir"): pyflwdir_d8,
    ("d8", "pysheds"): pysheds_d8,
    ("multiple_flow", "richdem"): richdem_multiple_flow,
    ("slope_aspect", "richdem"): richdem_slope_aspect,
    ("slope_aspect", "xarray-spatial"): xrspatial_slope_aspect,
}


# --- how near a result is to ours ---

def inner(cells):
    """Without the outermost cells, at which programs differ by choice."""
    return numpy.asarray(cells)[1:-1, 1:-1]


def agrees(course, task, found):
    """How near a result is to ours, in words."""
    if task == "fill":
        return filled_agrees(numpy.asarray(found), course.ours("fill"))
    if task == "d8":
        return d8_agrees(course, numpy.asarray(found))
    if task == "multiple_flow":
        return multiple_flow_agrees(course, numpy.asarray(found))
    if task == "slope_aspect":
        return f"{slope_agrees(course, found[0])}, {aspect_agrees(course, found[1])}"
    return slope_agrees(course, found) if task == "slope" else aspect_agrees(course, found)


def filled_agrees(found, ours):
    most = float(numpy.abs(found - ours).max())
    if most == 0:
        return "the same"
    return f"differs by up to {most:.2g} m, at {share((found != ours).mean())} of cells"


def slope_agrees(course, found):
    apart = numpy.abs(inner(found) - inner(course.ours("slope")))
    return f"slope {within(apart, 1e-3)}"


def aspect_agrees(course, found):
    """Where the slope is steep enough for aspect to mean something."""
    steep = inner(course.ours("slope")) > 1
    turn = numpy.abs(inner(found) - inner(course.ours("aspect")))[steep] % 360
    return f"aspect {within(numpy.minimum(turn, 360 - turn), 1e-2)} where steeper than 1°"


def within(apart, tolerance):
    """Degrees apart at most; where that is too much, at how many cells it is not."""
    most = float(apart.max())
    if most <= tolerance:
        return f"within {most:.1g}°"
    return f"within {tolerance:g}° at {share((apart <= tolerance).mean())} of cells, {most:.1g}° at most"


def multiple_flow_agrees(course, cells):
    """Over those cells that no level, edge or hole sends anything to: Freeman's rule leaves no choice there."""
    area, unique = course.once("multiple_flow", multiple_flow)
    right = numpy.abs(cells / area - 1) < 1e-3
    ours = course.ours("multiple_flow") / course.cell**2
    return f"{share(right[unique].mean())} right where nothing is left to choose ({share(unique.mean())} of cells); within 1 % of ours at {share((numpy.abs(cells / ours - 1) < 0.01).mean())} of all"


def d8_agrees(course, cells):
    """Over all cells, and over those whose catchment leaves no choice."""
    area, unique = course.once("d8", steepest_descent)
    ours = course.ours("d8") / course.cell**2
    known = share((cells == area)[unique].mean())
    return f"{known} right where nothing is left to choose ({share(unique.mean())} of cells); as ours at {share((cells == ours).mean())} of all"


def share(part):
    """Rounded down: 100 % means all."""
    return f"{int(part * 10000) / 100:g} %"


def steepest_descent(filled, order):
    """Cells upstream, and where no level, tie or edge is upstream: from the highest cell down, each hands what it has to its steepest neighbour."""
    rows, cols = filled.shape
    area, unique = numpy.ones((rows, cols), numpy.uint32), numpy.ones((rows, cols), numpy.bool_)
    to = numpy.full(rows * cols, -1, numpy.int64)
    for cell in range(rows * cols):
        row, col = cell // cols, cell % cols
        steepest = 0.0
        for r in range(max(row - 1, 0), min(row + 2, rows)):
            for c in range(max(col - 1, 0), min(col + 2, cols)):
                drop = (numpy.float64(filled[row, col]) - filled[r, c]) / (1.0 if r == row or c == col else 2.0**0.5)
                if drop > steepest:
                    steepest, to[cell] = drop, r * cols + c
        # whoever may be handed something by an edge, a level or a tie stays unknown
        edge = row == 0 or col == 0 or row == rows - 1 or col == cols - 1
        choices = 0
        for sure in (True, False):
            for r in range(max(row - 1, 0), min(row + 2, rows)):
                for c in range(max(col - 1, 0), min(col + 2, cols)):
                    drop = (numpy.float64(filled[row, col]) - filled[r, c]) / (1.0 if r == row or c == col else 2.0**0.5)
                    if (r != row or c != col) and drop >= 0 and (edge or drop >= steepest * (1 - 1e-4)):
                        if sure:
                            choices += 1
                        elif edge or choices != 1 or steepest == 0:
                            unique[r, c] = False
        if edge or steepest == 0:
            unique[row, col] = False
    for cell in order:
        if to[cell] >= 0:
            area[to[cell] // cols, to[cell] % cols] += area[cell // cols, cell % cols]
            if not unique[cell // cols, cell % cols]:
                unique[to[cell] // cols, to[cell] % cols] = False
    return area, unique


def multiple_flow(filled, order):
    """Cells upstream, and where no level or edge is upstream: shares by drop per distance to the power 1.1."""
    rows, cols = filled.shape
    area, unique = numpy.ones((rows, cols), numpy.float64), numpy.ones((rows, cols), numpy.bool_)
    for fixed in (True, False):
        for position in range(rows * cols):
            cell = position if fixed else order[position]
            row, col = cell // cols, cell % cols
            edge = row == 0 or col == 0 or row == rows - 1 or col == cols - 1
            total, lowest = 0.0, filled[row, col]
            for r in range(max(row - 1, 0), min(row + 2, rows)):
                for c in range(max(col - 1, 0), min(col + 2, cols)):
                    lowest = min(lowest, filled[r, c])
            choice = edge or lowest == filled[row, col]
            for summed in (True, False):
                for r in range(max(row - 1, 0), min(row + 2, rows)):
                    for c in range(max(col - 1, 0), min(col + 2, cols)):
                        drop = (numpy.float64(filled[row, col]) - filled[r, c]) / (1.0 if r == row or c == col else 2.0**0.5)
                        if (r == row and c == col) or drop < 0:
                            continue
                        if fixed:  # levels and edges first, for cells of the same height come in any order
                            if choice and (drop == 0 or edge):
                                unique[r, c] = unique[row, col] = False
                        elif summed:
                            total += drop**1.1
                        elif drop > 0:
                            area[r, c] += area[row, col] * drop**1.1 / total
                            unique[r, c] = unique[r, c] and unique[row, col]
    return area, unique


# --- requests ---

def answer(course, words):
    """What a request is answered with."""
    if words == ["versions"]:
        return {"versions": "; ".join(version(name) for name in PACKAGES)}
    task, tool, *compare = words
    if tool == "longhand":
        return {"seconds": "0", "agrees": agrees(course, task, course.ours(task) / course.cell**2).split(";")[0]}
    if tool == "file":  # a result that another program wrote beside ours
        return {"seconds": "0", "agrees": agrees(course, task, course.read(compare[0]))}
    with contextlib.redirect_stdout(sys.stderr):
        seconds, found = WORK[task, tool](course)
    told = {"seconds": f"{seconds:.6f}"}
    if compare:
        told["agrees"] = agrees(course, task, found)
    return told


def version(name):
    """A library and its version."""
    try:
        return f"{PACKAGES[name]} {importlib.metadata.version(PACKAGES[name])}"
    except importlib.metadata.PackageNotFoundError:
        return f"{PACKAGES[name]} missing"


def main():
    """Answers until the input ends."""
    course = Course(*sys.argv[1:])
    answers = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)  # what libraries print is not an answer
    for line in sys.stdin:
        try:
            told = answer(course, line.split())
        except Exception as error:  # whatever is wrong with a tool, the others go on
            told = {"missing": f"{type(error).__name__}: {error}".splitlines()[0]}
        print(json.dumps(told, ensure_ascii=False, separators=(",", ":")), file=answers, flush=True)


if __name__ == "__main__":
    main()
