"""What a plan file says, checked and frozen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["PLAN_VERSION", "SIZE_EDGES", "Plan", "PlanSize", "PlanView"]

PLAN_VERSION = 1
SIZE_EDGES = ("height", "width", "thickness")

Point = tuple[float, float]


@dataclass(frozen=True)
class PlanSize:
    """The one edge whose real size is chosen.

    Attributes
    ----------
    edge : {"height", "width", "thickness"}
    mm : float
    text : str
        As the maker wrote it, "11 3/4 in".
    """

    edge: str
    mm: float
    text: str


@dataclass(frozen=True)
class PlanView:
    """The drawn box as the plan has it, native pixels.

    Attributes
    ----------
    kind : str
    cover_corners : tuple of four (x, y)
        Head-spine, head-fore-edge, tail-fore-edge, tail-spine.
    thickness : (dx, dy) or None
        Drawn vector from the front cover to the back cover.
    strip : (dx, dy) or None
        Breadth of a second side face drawn flat beside the cover, such as pages below beside a spine.
    """

    kind: str
    cover_corners: tuple[Point, Point, Point, Point]
    thickness: Point | None
    strip: Point | None = None


@dataclass(frozen=True)
class Plan:
    """A plan file's content.

    Attributes
    ----------
    kind : str
        Kind of object.
    sprite_file : str
        Path of the sprite, relative to the plan's folder.
    sha256 : str
    frame : int
    region, cell : tuple of int or None
        Part of the picture, as the options ``--region`` and ``--cell`` have it.
    size : PlanSize or None
    view : PlanView or None
    regions : tuple of (patch name, feature)
    boxes : tuple of (x, y, w, h, feature)
    choices : tuple of (key, value as written)
    lines : mapping of str to int
        Line of each key in the file, by dotted path; "box[0].feature" for arrays.
    """

    kind: str
    sprite_file: str
    sha256: str
    frame: int = 0
    region: tuple[int, int, int, int] | None = None
    cell: tuple[int, int, int, int] | None = None
    size: PlanSize | None = None
    view: PlanView | None = None
    regions: tuple[tuple[str, str], ...] = ()
    boxes: tuple[tuple[int, int, int, int, str], ...] = ()
    choices: tuple[tuple[str, str], ...] = ()
    lines: Mapping[str, int] = field(default_factory=dict)

    def place(self, path: str) -> str:
        """ "line 12: " for a key's dotted path; empty where the key has no line of its own."""
        line = self.lines.get(path)
        return f"line {line}: " if line else ""
