"""Pieces side by side on the printer's bed, on as few plates as they take."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pixel2make import trade
from pixel2make.design.bed import Bed
from pixel2make.pack.meshes.placed import PlacedMesh

__all__ = ["arranged"]


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
