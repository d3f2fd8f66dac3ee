"""The printed pieces of metalwork: joined, laid, split, scaled against shrinkage, on plates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.bed import Bed, parse_bed
from pixel2make.design.metalwork import Mechanism
from pixel2make.design.model import Design
from pixel2make.geometry.solids import Solid, joined
from pixel2make.pack.meshes.lay import laid
from pixel2make.pack.meshes.placed import PlacedMesh
from pixel2make.pack.meshes.plate import arranged
from pixel2make.pack.meshes.split import split_to_fit

__all__ = ["Printed", "bed_of", "plates", "printed_of", "printed_pieces"]


@dataclass(frozen=True, eq=False)
class Printed:
    """A piece as it is printed.

    Attributes
    ----------
    mesh : PlacedMesh
        Resting on z = 0, in x, y, z >= 0.
    owner : str
        Name of the clasp or fitting.
    title, lay : str
    hanging_mm2, volume_mm3 : float
    """

    mesh: PlacedMesh
    owner: str
    title: str
    lay: str
    hanging_mm2: float
    volume_mm3: float


def bed_of(design: Design) -> Bed:
    """The maker's build volume."""
    return parse_bed(str(design.taken.get("bed", trade.value("printing.bed").value)))


def printed_pieces(design: Design) -> tuple[Printed, ...]:
    """Every piece of every clasp, lying as it should be printed."""
    return tuple(
        piece
        for clasp in design.clasps
        if clasp.printed is not None
        for piece in printed_of(clasp.name, clasp.printed, design)
    )


def printed_of(owner: str, mechanism: Mechanism, design: Design) -> tuple[Printed, ...]:
    """Every piece of one mechanism, grown by what prints shrink, no part larger than the bed."""
    shrinks = design.taken.get("print_shrinkage", 0.0)
    factor = 1 / (1 - shrinks / 100) if isinstance(shrinks, float) else 1.0
    return tuple(_printed(owner, mechanism, factor, bed_of(design)))


def _printed(owner: str, mechanism: Mechanism, factor: float, bed: Bed) -> Iterator[Printed]:
    play = trade.value(f"printing.clearance_{_process(mechanism)}").value["sliding"]
    for piece in mechanism.pieces:
        if piece.source != "made" or piece.joined_to:
            continue
        solid = piece.solid()
        guests = [other.solid() for other in mechanism.pieces if other.joined_to == piece.name]
        if guests:
            solid = joined([solid, *guests])
        lay = laid(solid)
        whole = Solid(lay.solid.vertices * factor, lay.solid.faces)
        parts = split_to_fit(whole, bed, play_mm=float(play))
        for number, part in enumerate(parts, 1):
            end = f"-{'abcdefgh'[number - 1] if number < 9 else number}" if len(parts) > 1 else ""
            corners = part.vertices - part.vertices.min(axis=0)
            yield Printed(
                PlacedMesh(piece.name + end, piece.material, piece.color, corners, part.faces),
                owner,
                piece.title + (f", part {number} of {len(parts)}" if end else ""),
                lay.name,
                lay.hanging_mm2 / len(parts),
                part.volume_mm3,
            )


def _process(mechanism: Mechanism) -> str:
    return next(piece.material for piece in mechanism.pieces if piece.source == "made")


def plates(pieces: tuple[Printed, ...], bed: Bed) -> list[list[PlacedMesh]]:
    """All pieces side by side on as few plates as they take; what is too large lies on none."""
    fitting = [p.mesh for p in pieces if bed.holds(p.mesh.bounds[1].tolist())]
    return arranged(fitting, bed)
