"""The files of the clasps: a mesh to print, a flat pattern and a drawing, and how to make them."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

import numpy as np

from pixel2make import trade
from pixel2make.design.model import Clasp, Design
from pixel2make.errors import DesignError
from pixel2make.pack.clasp_pages import clasp_drawing, flat_page
from pixel2make.pack.drawing.table import millimetres
from pixel2make.pack.meshes.flat import FlatPattern, check_pattern, flat_pattern
from pixel2make.pack.meshes.placed import PlacedMesh
from pixel2make.pack.meshes.solid import clasp_solid, clasp_standing, print_lay
from pixel2make.pack.meshes.stl import stl_bytes
from pixel2make.pack.pens import svg_bytes
from pixel2make.pack.table import text_table
from pixel2make.quantity import UNIT_WORDS, in_units, length_digits

__all__ = ["PlacedMesh", "assembly", "clasp_files", "clasp_paths"]

WIDTH = 96
MM3_IN_CM3 = 1000.0

CAUTIONS = ("sheet_metal", "hot_metal", "filament", "resin", "sanding", "pins", "defer")
"""Keys of the safety table, in the order in which they are met."""


def assembly(design: Design) -> tuple[PlacedMesh, ...]:
    """All metalwork of the closed book where it sits.

    Parameters
    ----------
    design : Design

    Returns
    -------
    meshes : tuple of PlacedMesh
        In the book's frame, mm: x from the spine's outer face to the fore-edge, y from the tail edge up to
        the head, z from the back board's outer face to the front board's. Empty without clasps.
    """
    placed = []
    for clasp in design.clasps:
        width, height = design.dimension("cover_width"), design.dimension("cover_height")
        thickness = design.dimension("book_thickness")
        points, faces = clasp_standing(clasp)
        inwards, down, across = points.T
        slack = (clasp.span.value_mm - thickness.value_mm) / 2
        at = (
            width.value_mm - inwards,
            height.value_mm - clasp.position_mm - down,
            thickness.value_mm + slack - across,
        )
        # three axes turn round, which mirrors the solid: the faces turn too
        placed.append(
            PlacedMesh(clasp.name, clasp.material, clasp.color, np.column_stack(at), faces[:, ::-1])
        )
    return tuple(placed)


def clasp_files(design: Design) -> dict[str, bytes]:
    """Files of every clasp by path.

    Parameters
    ----------
    design : Design

    Returns
    -------
    files : dict of str to bytes
        For each clasp an STL in millimetres, a drawing, a text, and a flat pattern where sheet can be
        bent to it; empty for a book without clasps.
    """
    files: dict[str, bytes] = {}
    for clasp in design.clasps:
        pattern = _pattern(clasp)[0]
        mesh = clasp_solid(clasp)
        files[_path(clasp, ".stl")] = stl_bytes(mesh)
        files[_path(clasp, "_drawing.svg")] = svg_bytes(clasp_drawing(clasp))
        if pattern:
            files[_path(clasp, "_flat.svg")] = svg_bytes(flat_page(clasp, pattern))
        files[_path(clasp, ".txt")] = _text(clasp, float(mesh.volume), design.units).encode()
    return files


def clasp_paths(design: Design) -> dict[str, tuple[str, ...]]:
    """Paths of each clasp's files by the clasp's name, as `clasp_files` writes them."""
    return {clasp.name: tuple(_paths(clasp)) for clasp in design.clasps}


def _path(clasp: Clasp, ending: str) -> str:
    return f"clasp/{clasp.name}{ending}"


def _paths(clasp: Clasp) -> Iterator[str]:
    yield _path(clasp, ".stl")
    yield _path(clasp, "_drawing.svg")
    if _pattern(clasp)[0]:
        yield _path(clasp, "_flat.svg")
    yield _path(clasp, ".txt")


def _pattern(clasp: Clasp) -> tuple[FlatPattern | None, str]:
    """The flat pattern, or none and the reason."""
    try:
        return flat_pattern(clasp), ""
    except DesignError as error:
        return None, str(error)


def _text(clasp: Clasp, volume_mm3: float, units: str) -> str:
    blocks = [
        [clasp.name, "=" * len(clasp.name)],
        _wrapped(
            "The blank of a clasp: a plate on the front cover, a span over the fore-edge, a plate on the "
            "back cover. Print it or bend it from sheet; both have the same inside. Measure the closed book "
            "first: the clasp goes on last, since only then its thickness is known."
        ),
        _section(f"Sizes in {UNIT_WORDS[units]}", text_table(_sizes(clasp, units), right=(1,)).splitlines()),
        _section("To print", _printing(clasp, volume_mm3)),
        _section("From sheet", _bending(clasp)),
        _section("To fit", _fitting()),
        _section("Cautions", [line for key in CAUTIONS for line in _item(_words(f"safety.{key}"))]),
    ]
    return in_units("\n\n".join("\n".join(block) for block in blocks) + "\n", units)


def _sizes(clasp: Clasp, units: str) -> list[tuple[str, str, str]]:
    rows = [("size", units, "from")]
    for label, dimension in (
        ("clear width between the plates", clasp.span),
        ("reach onto the cover", clasp.plate_length),
        ("along the height of the book", clasp.width),
        ("wall of the print", clasp.wall),
        ("thickness of the sheet", clasp.sheet),
        ("inside radius of a bend", clasp.inside_radius),
    ):
        rows.append((label, length_digits(dimension.value_mm, units), dimension.rule or dimension.origin))
    rows.append(("upper end from the head edge", length_digits(clasp.position_mm, units), "sprite"))
    return rows


def _printing(clasp: Clasp, volume_mm3: float) -> list[str]:
    lay = print_lay(clasp)
    density = trade.value("printing.density_pla")
    grams = volume_mm3 / MM3_IN_CM3 * density.number
    support = (
        f"It lies {lay.name}; {millimetres(lay.overhang_mm)} mm of its edges hang in the air: let the slicer "
        "put support there."
        if lay.overhang_mm
        else f"It lies {lay.name}, so that nothing hangs in the air and it needs no support."
    )
    return [
        *_item(f"The unit of the STL file is the millimetre. {support}"),
        *_item("The layers then run round the U, so that opening the clasp does not part them.")
        * (lay.name != "standing on its span"),
        *_item(
            f"Solid volume {volume_mm3 / MM3_IN_CM3:.1f} cm3, {grams:.0f} g at {density.number:g} "
            f"{density.unit} (PLA, {density.label})."
        ),
        *_item("Print one, try it on the closed book, then print the rest; sand, prime and gild afterwards."),
    ]


def _bending(clasp: Clasp) -> list[str]:
    pattern, reason = _pattern(clasp)
    findings = [line for finding in check_pattern(clasp) for line in _item(finding.sentence)]
    if pattern is None:
        return [*_item(f"No flat pattern: {reason}."), *findings]
    bend = pattern.bends[0]
    density = trade.value("metal.density")
    metal = next((m for m in density.value if m in clasp.material), None)
    grams = pattern.outline.area * pattern.sheet_mm / MM3_IN_CM3 * density.value[metal] if metal else 0.0
    weight = f"About {grams:.0f} g of {metal}." if metal else ""
    return [
        *_item(
            f"Print {clasp.name}_flat.svg at 100 %, measure both bars, glue it to {clasp.material} of "
            f"{millimetres(pattern.sheet_mm)} mm, saw along the outline, file and deburr every edge. {weight}"
        ),
        *_item(
            f"Bend both lines up by {bend.angle_deg:g} degrees over an edge rounded to "
            f"{millimetres(bend.radius_mm)} mm, across the rolling direction where you can."
        ),
        *_item(
            f"The flat length of {pattern.length_mm:.2f} mm holds for K = {pattern.k_factor:.3g}: bend a "
            "test strip of the same sheet first and shorten or lengthen the span by what it is off."
        ),
        *_item("Take the paper off before you anneal or solder."),
        *findings,
    ]


def _fitting() -> list[str]:
    pin, edge = trade.value("clasp.pin_diameter"), trade.value("clasp.pin_edge_distance")
    return [
        *_item(
            f"Pins of {pin.number:g} mm hold a plate for good, {edge.number:g} mm or more from the edge of "
            "the board; pin one plate only, so that the book can be opened."
        ),
        *_item("Line the inside with thin leather or felt: bare metal and plastic mark the cover."),
    ]


def _words(key: str) -> str:
    return str(trade.value(key).value)


def _section(title: str, lines: list[str]) -> list[str]:
    return [title, "-" * len(title), *lines]


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(" ".join(text.split()), WIDTH)


def _item(text: str) -> list[str]:
    return textwrap.wrap(" ".join(text.split()), WIDTH, initial_indent="- ", subsequent_indent="  ")
