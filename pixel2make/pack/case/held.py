"""The closed object of a design as its case sees it, and the case of a design."""

from __future__ import annotations

from functools import lru_cache
from pathlib import PurePosixPath

from pixel2make.design.case import CaseDesign, Held, design_case
from pixel2make.design.light.colors import glow_colors
from pixel2make.design.model import Design
from pixel2make.pack.clasp import assembly
from pixel2make.quantity import Dimension

__all__ = ["case_of", "held_of"]

_EDGES = {
    "width": ("cover_width", "width"),
    "height": ("cover_height", "height"),
    "thickness": ("book_thickness", "thickness"),
}
"""What a kind of object may call its outside edges; the first that is there."""

_FACES = (("spine", "fore_edge"), ("tail", "head"), ("back", "cover"))
"""Low and high face along x, y and z of the closed object's frame."""

LEAST_MM = 0.01
"""Metalwork that stands out less than this is flush."""


@lru_cache(maxsize=1)
def case_of(design: Design) -> CaseDesign:
    """The display case of a design, by the answers that the design was made with.

    Raises
    ------
    DesignError
        Where it cannot be made so.
    """
    return design_case(held_of(design), glow_colors(design.reading), design.taken)


def held_of(design: Design) -> Held:
    """Outside size, what the metalwork stands out by on each face, and the mass."""
    edges = {edge: _edge(design, edge) for edge in _EDGES}
    return Held(
        PurePosixPath(design.reading.regions.sprite.file).stem.replace("_", " ").replace("-", " "),
        edges["width"],
        edges["height"],
        edges["thickness"],
        _projections(design, edges),
        design.total_mass_g,
    )


def _edge(design: Design, edge: str) -> Dimension:
    known = {dimension.name: dimension for dimension in design.dimensions}
    return next(known[name] for name in _EDGES[edge] if name in known)


def _projections(design: Design, edges: dict[str, Dimension]) -> dict[str, float]:
    found: dict[str, float] = {}
    size = [edges[edge].value_mm for edge in ("width", "height", "thickness")]
    for mesh in assembly(design):
        low, high = mesh.bounds
        for axis, (below, above) in enumerate(_FACES):
            for face, out in ((below, -float(low[axis])), (above, float(high[axis]) - size[axis])):
                if out > LEAST_MM:
                    found[face] = max(found.get(face, 0.0), out)
    return found
