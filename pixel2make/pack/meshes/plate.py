"""Pieces side by side on the printer's bed, on as few plates as they take."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pixel2make import trade
from pixel2make.errors import DesignError
from pixel2make.pack.meshes.placed import PlacedMesh

__all__ = ["Bed", "arranged", "parse_bed"]


@dataclass(frozen=True)
class Bed:
    """Build volume of a printer, mm."""

    width_mm: float
    depth_mm: float
    height_mm: float

    def holds(self, size: Sequence[float]) -> bool:
        """Whether a piece of that size fits, turned on the bed by a right angle or not."""
        x, y, z = size
        across, along = sorted((self.width_mm, self.depth_mm))
        small, large = sorted((x, y))
        return small <= across and large <= along and z <= self.height_mm


def parse_bed(text: str) -> Bed:
    """A build volume from "180x180x180mm", in mm, cm or in.

    Raises
    ------
    DesignError
        Where it is none.

    Examples
    --------
    >>> parse_bed("18 x 18 x 18 cm")
    Bed(width_mm=180.0, depth_mm=180.0, height_mm=180.0)
    """
    number = r"(\d+(?:\.\d+)?)"
    found = re.fullmatch(rf"\s*{number}\s*x\s*{number}\s*x\s*{number}\s*(mm|cm|in)\s*", text.lower())
    if found is None:
        raise DesignError(
            f"bed: {text!r} is no build volume; write it as width x depth x height, 180x180x180mm"
        )
    unit = {"mm": 1.0, "cm": 10.0, "in": trade.value("units.inch").number}[found[4]]
    sizes = [float(found[i]) * unit for i in (1, 2, 3)]
    if min(sizes) < _LEAST_MM:
        raise DesignError(f"bed: {text!r} is smaller than any printer; {_LEAST_MM:g} mm a side is the least")
    return Bed(*sizes)


_LEAST_MM = 40.0


def arranged(pieces: Sequence[PlacedMesh], bed: Bed) -> list[list[PlacedMesh]]:
    """Pieces on plates, row by row, deepest first; each piece rests on z = 0 and fits.

    Parameters
    ----------
    pieces : sequence of PlacedMesh
        Each in x, y, z >= 0, no larger than the bed.
    bed : Bed
    """
    gap = trade.value("printing.plate_gap").number
    turned = [_along(piece) for piece in pieces]
    order = sorted(range(len(turned)), key=lambda i: (-turned[i].bounds[1][1], turned[i].name, i))
    plates: list[list[PlacedMesh]] = []
    rows: list[tuple[float, float, float]] = []
    for i in order:
        piece = turned[i]
        width, depth, _ = piece.bounds[1]
        for number, (x, y, deep) in enumerate(rows):
            if x + width <= bed.width_mm and y + depth <= bed.depth_mm:
                plates[number].append(_moved(piece, x, y))
                rows[number] = (x + width + gap, y, max(deep, depth))
                break
            below = y + deep + gap
            if width <= bed.width_mm and below + depth <= bed.depth_mm:
                plates[number].append(_moved(piece, 0.0, below))
                rows[number] = (width + gap, below, depth)
                break
        else:
            plates.append([_moved(piece, 0.0, 0.0)])
            rows.append((width + gap, 0.0, depth))
    return plates


def _along(piece: PlacedMesh) -> PlacedMesh:
    """Turned by a right angle where it is deeper than wide, so that rows stay low."""
    width, depth, _ = piece.bounds[1]
    if depth <= width:
        return piece
    x, y, z = piece.vertices.T
    corners = np.column_stack((depth - y, x, z))
    return PlacedMesh(piece.name, piece.material, piece.color, corners, piece.faces)


def _moved(piece: PlacedMesh, x: float, y: float) -> PlacedMesh:
    return PlacedMesh(
        piece.name, piece.material, piece.color, piece.vertices + np.array([x, y, 0.0]), piece.faces
    )
