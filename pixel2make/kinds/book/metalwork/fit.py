"""The fit of a mechanism, computed: which of its bodies run into each other, closed and on the way open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from pixel2make.design.metalwork import Mechanism
from pixel2make.geometry.solids import Solid, block
from pixel2make.kinds.book.metalwork.place import Site

__all__ = ["Clash", "clashes", "is_held"]

SPECK_MM3 = 0.02
"""Bends are made of chords, which touch their neighbours by less than this; a real clash is larger."""
_BOOK = ("front board", "back board", "leaves")


@dataclass(frozen=True)
class Clash:
    """Two bodies in each other's way."""

    pose: str
    one: str
    other: str
    volume_mm3: float


def clashes(mechanism: Mechanism, site: Site) -> Iterator[Clash]:
    """What runs into what, closed and in every position of opening that should be free."""
    parts = _Parts(mechanism, site)
    yield from parts.clashes("closed", {}, {})
    for pose in mechanism.poses:
        if not pose.is_barred:
            bent = {name: sheet.solid() for name, sheet in pose.bent}
            yield from parts.clashes(pose.name, {b: np.asarray(m) for b, m in pose.moves}, bent)


def is_held(mechanism: Mechanism, site: Site) -> bool:
    """Whether every pull that should be stopped is stopped by something."""
    parts = _Parts(mechanism, site)
    return all(
        any(True for _ in parts.clashes(pose.name, {b: np.asarray(m) for b, m in pose.moves}, {}))
        for pose in mechanism.poses
        if pose.is_barred
    )


class _Parts:
    """All bodies of a clasp and the book it holds, ready to be moved and intersected."""

    def __init__(self, mechanism: Mechanism, site: Site) -> None:
        self.at = {piece.name: np.asarray(piece.at) for piece in mechanism.pieces}
        self.solids: dict[str, Solid] = {
            piece.name: piece.shape.solid().placed(piece.at)
            for piece in mechanism.pieces
            if piece.source != "leather"
        }
        self.body = {piece.name: piece.body for piece in mechanism.pieces}
        self.joined = {frozenset((p.name, p.joined_to)) for p in mechanism.pieces if p.joined_to}
        for name, solid in _book(site).items():
            self.solids[name] = solid
        self.body |= {"front board": "front", "back board": "back", "leaves": "leaves"}
        self.manifolds = {name: solid.body() for name, solid in self.solids.items()}

    def clashes(self, pose: str, moves: dict[str, np.ndarray], bent: dict[str, Solid]) -> Iterator[Clash]:
        placed = {}
        for name, body in self.manifolds.items():
            if name in bent:
                body = bent[name].placed(self.at[name]).body()
            move = moves.get(self.body[name])
            placed[name] = body if move is None else body.transform(move[:3])
        boxes = {name: np.array(body.bounding_box()).reshape(2, 3) for name, body in placed.items()}
        for one, other in combinations(placed, 2):
            if (one in _BOOK and other in _BOOK) or frozenset((one, other)) in self.joined:
                continue
            # what moves with each other has been looked at closed
            if moves and self.body[one] == self.body[other] and not {one, other} & bent.keys():
                continue
            a, b = boxes[one], boxes[other]
            if (a[0] >= b[1]).any() or (b[0] >= a[1]).any():
                continue
            volume = float((placed[one] ^ placed[other]).volume())
            if volume > SPECK_MM3:
                yield Clash(pose, one, other, volume)


def _book(site: Site) -> dict[str, Solid]:
    """Covered boards and leaves near the clasp, as blocks."""
    near = max(site.joint_mm, site.fore_edge_mm - 4 * site.wide_mm - 60.0)
    low, high = site.low_mm - 10.0, site.low_mm + site.wide_mm + 10.0
    thick = site.board_mm + 2 * site.covering_mm
    edge = site.fore_edge_mm
    touch = 1e-3
    """Plates lie on the covers; the blocks keep off them by a micrometre, so that touching is no clash."""
    return {
        "front board": block((near, low, site.front_mm - thick), (edge, high, site.front_mm - touch)),
        "back board": block((near, low, site.back_mm + touch), (edge, high, site.back_mm + thick)),
        "leaves": block(
            (near, low, site.back_mm + thick), (edge - site.square_mm, high, site.front_mm - thick)
        ),
    }
