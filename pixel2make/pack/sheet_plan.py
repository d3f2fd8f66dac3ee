"""Which parts lie on which sheet of stock, and where: divided where too large, compensated for the cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon

from pixel2make import trade
from pixel2make.design.checks import check_stock
from pixel2make.design.cutting import Cutting, cutting_of
from pixel2make.design.joints import Piece, divided, fits, grain_upright
from pixel2make.design.model import Design, Part
from pixel2make.errors import DesignError
from pixel2make.pack.kerf import at_zero, compensated
from pixel2make.pack.nesting import Placed, Sheet, nest
from pixel2make.pack.tight_nesting import nest_tightly

__all__ = ["GAP_MM", "MARGIN_MM", "CutSheet", "cut_plan", "on_sheet", "piece_cut", "sheet_paths"]

GAP_MM = trade.value("cutting.part_gap").number
MARGIN_MM = trade.value("cutting.sheet_margin").number

Outline: TypeAlias = Polygon | MultiPolygon


@dataclass(frozen=True, eq=False)
class CutSheet:
    """One cut sheet before it is drawn.

    Attributes
    ----------
    path : str
        Where it stands in a pack, without a suffix.
    material : str
    thickness_mm : float
    number, of : int
        Of the sheets of one material and thickness.
    sheet : Sheet
        Its outlines are cut lines: those of the parts, half a kerf larger.
    pieces : tuple of Piece
        By the index of each placed outline; grain upright.
    process : str
    kerf_mm : float
    is_makers : bool
        True where the maker said how large a sheet is.
    """

    path: str
    material: str
    thickness_mm: float
    number: int
    of: int
    sheet: Sheet
    pieces: tuple[Piece, ...]
    process: str
    kerf_mm: float
    is_makers: bool


@lru_cache(maxsize=1)
def cut_plan(design: Design) -> tuple[CutSheet, ...]:
    """All sheets of a design, by material and thickness.

    Raises
    ------
    DesignError
        Where a part that is not joined does not come out of a sheet of the maker's own.
    """
    return tuple(_sheets(design, cutting_of(design.taken)))


def sheet_paths(design: Design) -> dict[str, tuple[str, ...]]:
    """Paths by part name; the pieces of a divided part count as the part."""
    found: dict[str, list[str]] = {}
    for laid in cut_plan(design):
        for placed in laid.sheet.parts:
            where = found.setdefault(laid.pieces[placed.index].whole, [])
            if laid.path not in where:
                where.append(laid.path)
    return {name: tuple(paths) for name, paths in found.items()}


def piece_cut(piece: Piece, kerf_mm: float) -> Outline:
    """The cut line of a piece, its bounding box at (0, 0).

    Raises
    ------
    DesignError
        Where a hole is no wider than the cut.
    """
    try:
        return at_zero(compensated(piece.part.outline, kerf_mm))
    except DesignError as error:
        raise DesignError(f"{piece.part.name.replace('_', ' ')}: {error}") from error


def on_sheet(shape: Outline, piece: Piece, placed: Placed, kerf_mm: float) -> Outline:
    """A shape in the piece's coordinates, such as a mark, where the piece lies on its sheet."""
    half = kerf_mm / 2
    cut = affinity.translate(compensated(piece.part.outline, kerf_mm), half, half)
    turned = affinity.rotate(cut, -placed.turn_deg, origin=(0, 0))
    x, y, _, _ = turned.bounds
    moved = affinity.rotate(affinity.translate(shape, half, half), -placed.turn_deg, origin=(0, 0))
    return affinity.translate(moved, placed.x - x, placed.y - y)


def _sheets(design: Design, cutting: Cutting) -> Iterator[CutSheet]:
    groups: dict[tuple[str, float], list[Part]] = {}
    for part in design.parts:
        if part.is_cut:
            groups.setdefault((part.material, round(part.thickness_mm, 3)), []).extend([part] * part.quantity)
    for (material, thickness), parts in sorted(groups.items()):
        room, kerf = cutting.room_mm(material), cutting.kerf_mm(material)
        pieces = tuple(piece for part in parts for piece in divided(grain_upright(part), room))
        if cutting.is_makers(material):
            _refuse(design, cutting, pieces)
        sheets = _nested(pieces, cutting, material)
        for number, sheet in enumerate(sheets, 1):
            yield CutSheet(
                f"sheets/{material}_{thickness:g}mm{f'_{number}' if len(sheets) > 1 else ''}",
                material,
                thickness,
                number,
                len(sheets),
                sheet,
                pieces,
                cutting.process_for(material),
                kerf,
                cutting.is_makers(material),
            )


def _nested(pieces: tuple[Piece, ...], cutting: Cutting, material: str) -> tuple[Sheet, ...]:
    kerf = cutting.kerf_mm(material)
    laid = nest_tightly if cutting.nesting == "tight" else nest
    return laid(
        [piece_cut(piece, kerf) for piece in pieces],
        sheet_mm=cutting.stock_mm(material),
        gap_mm=GAP_MM,
        margin_mm=MARGIN_MM,
        has_grain=[piece.part.grain is not None for piece in pieces],
    )


def _refuse(design: Design, cutting: Cutting, pieces: tuple[Piece, ...]) -> None:
    for piece in pieces:
        if not fits(piece.part, cutting.room_mm(piece.part.material)):
            said = next(f.sentence for f in check_stock(design) if f.subject == piece.whole)
            raise DesignError(said.rstrip("."))
