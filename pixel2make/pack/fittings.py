"""The files of corner pieces and bosses: meshes to print, flat patterns, drawings, how to make them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from pixel2make.design.metalwork import Fitting, Mechanism
from pixel2make.design.model import Design
from pixel2make.geometry.pieces import Piece, Sheet
from pixel2make.pack.clasp_flat import flat_page
from pixel2make.pack.clasp_print import Printed, bed_of, plates, printed_of
from pixel2make.pack.fittings_page import fitting_drawing
from pixel2make.pack.fittings_text import fittings_text
from pixel2make.pack.formats import Content
from pixel2make.pack.meshes.stl import stl_bytes
from pixel2make.pack.meshes.threemf import threemf_bytes
from pixel2make.pack.pens import Drawing

__all__ = ["Alike", "alike_fittings", "fitting_files", "fitting_paths"]

_FOLDER = "metalwork"


@dataclass(frozen=True)
class Alike:
    """Fittings that are made alike: one pattern and one mesh does for all of them.

    Attributes
    ----------
    first : Fitting
    all : tuple of Fitting
        With the first.
    """

    first: Fitting
    all: tuple[Fitting, ...]

    @property
    def count(self) -> int:
        """How many to make."""
        return len(self.all)


def alike_fittings(design: Design) -> tuple[Alike, ...]:
    """The design's fittings, those of one shape, metal and hand together, in their order."""
    found: list[list[Fitting]] = []
    for fitting in design.fittings:
        own = next((group for group in found if _shapes(group[0]) == _shapes(fitting)), None)
        if own is None:
            found.append([fitting])
        else:
            own.append(fitting)
    return tuple(Alike(group[0], tuple(group)) for group in found)


def _shapes(fitting: Fitting) -> tuple[object, ...]:
    pieces = (*fitting.sheet.pieces, *fitting.print.pieces)
    return tuple((piece.material, piece.shape) for piece in pieces)


def fitting_files(design: Design) -> dict[str, Content]:
    """Files and drawings of corner pieces and bosses by path.

    Parameters
    ----------
    design : Design

    Returns
    -------
    files : dict of str to bytes or Drawing
        For each kind of piece an STL in millimetres, a flat pattern and a drawing on its board; plates with
        all printed pieces as 3MF; a text. Empty for a book without them.
    """
    files: dict[str, Content] = {}
    groups = alike_fittings(design)
    printed: list[Printed] = []
    for group in groups:
        own = printed_of(group.first.name, group.first.print, design)
        for piece in own:
            files[f"{_FOLDER}/{piece.mesh.name}.stl"] = stl_bytes(piece.mesh)
        printed += [piece for piece in own for _ in range(group.count)]
        files[f"{_FOLDER}/{group.first.name}_drawing"] = fitting_drawing(group.first, group.count, design)
        for sheet in _sheets(group.first.sheet):
            files[_flat_path(sheet)] = _flat(group, sheet, design.units)
    bed = bed_of(design)
    for number, plate in enumerate(plates(tuple(printed), bed), 1):
        files[f"{_FOLDER}/print-plate-{number}.3mf"] = threemf_bytes(plate, title=f"Plate {number}")
    if groups:
        numbers = [(group.first, tuple(f.where for f in group.all)) for group in groups]
        files[f"{_FOLDER}/fittings.txt"] = fittings_text(design, numbers, printed).encode()
    return files


def fitting_paths(design: Design) -> dict[str, tuple[str, ...]]:
    """Paths of each fitting's files by its name, as `fitting_files` writes them."""
    found = {}
    for group in alike_fittings(design):
        stem = group.first.name
        paths = [f"{_FOLDER}/{stem}_drawing", f"{_FOLDER}/fittings.txt"]
        paths += [_flat_path(piece) for piece in _sheets(group.first.sheet)]
        paths += [f"{_FOLDER}/{p.mesh.name}.stl" for p in printed_of(stem, group.first.print, design)]
        for fitting in group.all:
            found[fitting.name] = tuple(sorted(paths))
    return found


def _sheets(mechanism: Mechanism) -> Iterator[Piece]:
    for piece in mechanism.pieces:
        if isinstance(piece.shape, Sheet) and piece.source == "made":
            yield piece


def _flat_path(piece: Piece) -> str:
    return f"{_FOLDER}/{piece.name}_flat"


def _flat(group: Alike, piece: Piece, units: str) -> Drawing:
    holes = tuple(hole for hole in group.first.sheet.holes if hole.piece == piece.name)
    hand = f", {piece.hand} hand" if piece.hand else ""
    make = f", make {group.count}" if group.count > 1 else ""
    where = "; ".join(fitting.where for fitting in group.all)
    notes = (f"For {where}.",) if piece.hand else ()
    titled = replace(piece, title=f"{piece.title}{hand}{make}")
    return flat_page(titled, holes, units, notes)
