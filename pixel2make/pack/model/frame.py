"""The closed book's lengths, and where the drawn faces lie on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from pixel2make.design.model import Design
from pixel2make.pack.model.shapes import Body, placed

__all__ = ["FACE_EDGES", "Frame"]

FACE_EDGES: Mapping[str, tuple[int, int]] = {
    "cover": (0, 1),
    "back": (0, 1),
    "spine": (2, 1),
    "fore_edge": (2, 1),
    "head": (0, 2),
    "tail": (0, 2),
}
"""Which of width, height and thickness run along a face's two edges."""

_BOARD_MM, _COVERING_MM, _SQUARE_MM = 2.5, 1.0, 3.0
"""For a design that names no such length; every design of ours does."""


@dataclass(frozen=True, eq=False)
class Frame:
    """The lengths that a closed book's solids are made of, in mm.

    x runs from the spine's outer face to the fore-edge, y from tail to head, z from the back board's outer
    face to the front board's.
    """

    design: Design

    @cached_property
    def _lengths(self) -> Mapping[str, float]:
        return {dimension.name: dimension.value_mm for dimension in self.design.dimensions}

    def get(self, name: str, default: float = 0.0) -> float:
        """A dimension's value, or the default where the design has none of that name."""
        return self._lengths.get(name, default)

    @cached_property
    def size(self) -> tuple[float, float, float]:
        """Width, height and thickness."""
        return self._lengths["cover_width"], self._lengths["cover_height"], self._lengths["book_thickness"]

    @cached_property
    def covering(self) -> float:
        """Thickness of the covering."""
        return self.get("covering_thickness", _COVERING_MM)

    @cached_property
    def cover(self) -> float:
        """Thickness of a covered board, never more than a third of the book."""
        return min(self.get("board_thickness", _BOARD_MM) + self.covering, self.size[2] / 3)

    @cached_property
    def square(self) -> float:
        """How far the boards stand beyond the leaves."""
        return min(self.get("square", _SQUARE_MM), min(self.size[:2]) / 4)

    @cached_property
    def spine(self) -> float:
        """Thickness of the spine: what stiffens it, and the covering."""
        stiff = self.get("spine_piece_thickness", self.get("spine_lining_thickness", 0.0))
        return min(stiff + self.covering, self.size[0] / 4)

    @cached_property
    def board_x(self) -> float:
        """Where the boards' back edges lie."""
        width = self.size[0]
        return max(width - self.get("board_width", width - 2 * self.spine), self.spine)

    @cached_property
    def corner_radius(self) -> float:
        """Of the boards' fore-edge corners."""
        return self.get("corner_radius")

    def face_size(self, face: str) -> tuple[float, float]:
        """Real size along the face's two edges."""
        along_a, along_b = FACE_EDGES[face]
        return self.size[along_a], self.size[along_b]

    def on_face(self, face: str, body: Body) -> Body:
        """A body made in a face's own coordinates, x and y along it and z out of it, at its place."""
        width, height, thickness = self.size
        left, down, back = (1, 0, 0), (0, -1, 0), (0, 0, -1)
        axes, origin = {
            "cover": ((left, down, (0, 0, 1)), (0, height, thickness)),
            "back": ((left, down, (0, 0, -1)), (0, height, 0)),
            "spine": ((back, down, (-1, 0, 0)), (0, height, thickness)),
            "fore_edge": ((back, down, (1, 0, 0)), (width, height, thickness)),
            "head": ((left, back, (0, 1, 0)), (0, height, thickness)),
            "tail": ((left, back, (0, -1, 0)), (0, 0, thickness)),
        }[face]
        return placed(body, axes, origin)
