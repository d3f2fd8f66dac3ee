"""One function a stage: load_sprite > segment > interpret > dimension."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from pixel2make.errors import Pixel2MakeError, located

if TYPE_CHECKING:
    from pixel2make.design.model import Design
    from pixel2make.reading.model import Overrides, Reading
    from pixel2make.regions.model import RegionMap
    from pixel2make.sprite.model import Sprite

__all__ = ["dimension", "interpret", "load_sprite", "read_cells", "segment"]


def load_sprite(
    path: str | Path,
    *,
    frame: int = 0,
    region: tuple[int, int, int, int] | None = None,
    cell: tuple[int, int, int, int] | None = None,
) -> Sprite:
    """Read a picture file onto its native pixel grid; see `pixel2make.sprite.load_sprite`."""
    from pixel2make.sprite import load_sprite as load

    with located(str(path)):
        return load(path, frame=frame, region=region, cell=cell)


def segment(sprite: Sprite) -> RegionMap:
    """Find the regions of one material; see `pixel2make.regions.segment`."""
    from pixel2make.regions import segment as find

    return find(sprite)


def interpret(regions: RegionMap, kind: str = "book", overrides: Overrides | None = None) -> Reading:
    """Tell the view and the features; see `pixel2make.reading.interpret`."""
    from pixel2make import kinds
    from pixel2make.reading import interpret as read
    from pixel2make.reading.model import Overrides

    return read(regions, kinds.find(kind), overrides or Overrides())


def read_cells(
    path: str | Path, *, cell: tuple[int, int], kind: str = "book", processes: int | None = None
) -> dict[tuple[int, int], Reading | str]:
    """Read every cell of a sheet of sprites, on all cores.

    Parameters
    ----------
    path : path
        A picture with sprites on a regular grid.
    cell : (width, height)
        Size of a cell in file pixels.
    kind : str
    processes : int, optional
        As many as there are cores where left out.

    Returns
    -------
    dict of (column, row) to Reading or str
        In raster order; a string says why a cell could not be read, an empty cell is left out.
    """
    from concurrent.futures import ProcessPoolExecutor

    from pixel2make.sprite import cells_of

    with located(str(path)):
        places = cells_of(path, cell)
    work = [(str(path), (*cell, column, row), kind) for column, row in places]
    if processes == 1 or len(work) < 2:
        found = [_read_cell(*each) for each in work]
    else:
        with ProcessPoolExecutor(processes) as pool:
            found = list(pool.map(_read_cell, *zip(*work, strict=True)))
    return dict(zip(places, found, strict=True))


def _read_cell(path: str, cell: tuple[int, int, int, int], kind: str) -> Reading | str:
    try:
        return interpret(segment(load_sprite(path, cell=cell)), kind)
    except Pixel2MakeError as error:
        return str(error)


def dimension(
    reading: Reading,
    *,
    given: str = "height",
    size_mm: float,
    choices: Mapping[str, str | float] | None = None,
) -> Design:
    """Scale a reading to a real size; see `pixel2make.design.dimension`."""
    from pixel2make import kinds
    from pixel2make.design import dimension as scale

    return scale(reading, kinds.find(reading.kind), given=given, size_mm=size_mm, choices=choices or {})
