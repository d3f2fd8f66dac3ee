"""The files of clasps: meshes to print, flat patterns, drawings, a coupon, how to make them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from pixel2make.design.model import Design
from pixel2make.geometry.pieces import Piece, Sheet
from pixel2make.pack.clasp_flat import flat_page
from pixel2make.pack.clasp_pages import clasp_drawing
from pixel2make.pack.clasp_print import bed_of, plates, printed_pieces
from pixel2make.pack.clasp_section import section_page
from pixel2make.pack.clasp_text import clasp_text
from pixel2make.pack.formats import Content
from pixel2make.pack.meshes.coupon import coupon_pieces
from pixel2make.pack.meshes.placed import PlacedMesh
from pixel2make.pack.meshes.stl import stl_bytes
from pixel2make.pack.meshes.threemf import threemf_bytes
from pixel2make.pack.pens import Drawing

__all__ = ["PlacedMesh", "assembly", "clasp_files", "clasp_paths"]

_FOLDER = "clasp"


def assembly(design: Design) -> tuple[PlacedMesh, ...]:
    """All metalwork of the closed book where it sits, as made of sheet metal.

    Parameters
    ----------
    design : Design

    Returns
    -------
    meshes : tuple of PlacedMesh
        In the book's frame, mm: x from the spine's outer face to the fore-edge, y from the tail edge up to
        the head, z from the back board's outer face to the front board's. Empty without metalwork.
    """
    found = []
    for piece in _pieces(design):
        solid = piece.solid()
        found.append(PlacedMesh(piece.name, piece.material, piece.color, solid.vertices, solid.faces))
    return tuple(found)


def _pieces(design: Design) -> Iterator[Piece]:
    """Of every clasp and fitting in sheet metal."""
    for clasp in design.clasps:
        if clasp.metal is not None:
            yield from clasp.metal.pieces
    for fitting in design.fittings:
        yield from fitting.sheet.pieces


def clasp_files(design: Design) -> dict[str, Content]:
    """Files and drawings of all clasps by path.

    Parameters
    ----------
    design : Design

    Returns
    -------
    files : dict of str to bytes or Drawing
        For each piece an STL in millimetres and, of sheet, its flat pattern; for each clasp a drawing and a
        text; plates of all printed pieces as 3MF; a fit coupon. Empty for a book without metalwork.
    """
    files: dict[str, Content] = {}
    printed = printed_pieces(design)
    for piece in printed:
        files[f"{_FOLDER}/{piece.mesh.name}.stl"] = stl_bytes(piece.mesh)
    bed = bed_of(design)
    on_plates = plates(printed, bed)
    for number, plate in enumerate(on_plates, 1):
        files[f"{_FOLDER}/print-plate-{number}.3mf"] = threemf_bytes(plate, title=f"Plate {number}")
    for owner, page in _flat_pages(design):
        files[owner] = page
    for clasp in design.clasps:
        if clasp.metal is None:
            continue
        own = [piece for piece in printed if piece.owner == clasp.name]
        files[f"{_FOLDER}/{clasp.name}_drawing"] = clasp_drawing(clasp, design)
        files[f"{_FOLDER}/{clasp.name}_section"] = section_page(clasp, design)
        files[f"{_FOLDER}/{clasp.name}.txt"] = clasp_text(clasp, design, own).encode()
    if printed:
        files |= _coupon()
    return files


def clasp_paths(design: Design) -> dict[str, tuple[str, ...]]:
    """Paths of each clasp's files by its name, as `clasp_files` writes them."""
    printed = printed_pieces(design)
    found: dict[str, list[str]] = {}
    for clasp in design.clasps:
        if clasp.metal is not None:
            ends = ("_drawing", "_section", ".txt")
            found[clasp.name] = [f"{_FOLDER}/{clasp.name}{end}" for end in ends]
    for each in printed:
        found[each.owner].append(f"{_FOLDER}/{each.mesh.name}.stl")
    for owner, piece in _sheet_pieces(design):
        found[owner].append(_flat_path(piece))
    return {name: tuple(sorted(paths)) for name, paths in found.items()}


def _sheet_pieces(design: Design) -> Iterator[tuple[str, Piece]]:
    for clasp in design.clasps:
        for piece in clasp.metal.pieces if clasp.metal is not None else ():
            if isinstance(piece.shape, Sheet):
                yield clasp.name, piece


def _flat_path(piece: Piece) -> str:
    return f"{_FOLDER}/{piece.name}_flat"


def _flat_pages(design: Design) -> Iterator[tuple[str, Drawing]]:
    holes = [hole for clasp in design.clasps if clasp.metal is not None for hole in clasp.metal.holes]
    for _, piece in _sheet_pieces(design):
        own = tuple(hole for hole in holes if hole.piece == piece.name)
        yield _flat_path(piece), flat_page(piece, own, design.units)


def _coupon() -> dict[str, bytes]:
    """The comb and its gauge, each as STL and both as 3MF beside each other."""
    files, meshes, at = {}, [], 0.0
    for name, solid in coupon_pieces():
        corners = solid.vertices - solid.vertices.min(axis=0)
        files[f"{_FOLDER}/{name}.stl"] = stl_bytes(PlacedMesh(name, "print", "#808080", corners, solid.faces))
        shifted = corners + np.array([at, 0.0, 0.0])
        meshes.append(PlacedMesh(name, "print", "#808080", shifted, solid.faces))
        at = float(shifted[:, 0].max()) + 5.0
    files[f"{_FOLDER}/fit-coupon.3mf"] = threemf_bytes(meshes, title="Fit coupon")
    return files
