"""All files of the case."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from pixel2make import trade
from pixel2make.design.case import CaseDesign
from pixel2make.design.cutting import cutting_of
from pixel2make.design.joints import fits, grain_upright
from pixel2make.design.model import Design
from pixel2make.errors import DesignError
from pixel2make.pack.case.held import case_of
from pixel2make.pack.case.page import PageText, drawing_page
from pixel2make.pack.case.part_pages import part_pages, strip_page
from pixel2make.pack.case.preview import preview_webp
from pixel2make.pack.case.program import program_text
from pixel2make.pack.case.record import case_json
from pixel2make.pack.case.sections import seat_view, side_view
from pixel2make.pack.case.text import case_text
from pixel2make.pack.case.views import front_view, plan_view
from pixel2make.pack.case.wiring import wiring_diagram
from pixel2make.pack.formats import Content
from pixel2make.pack.pens import Drawing
from pixel2make.pack.sheets import cut_sheets
from pixel2make.quantity import in_units, length_digits

__all__ = ["case_files"]

_STOCK_STEP_MM = 10.0
"""Sheets are asked for in whole centimetres."""

SEAT_SCALE = 5.0
"""The largest scale for the seat; a groove is a few millimetres wide."""


def case_files(design: Design) -> dict[str, Content]:
    """Files and drawings of the display case by path, all under ``case/``.

    Raises
    ------
    DesignError
        Where the case cannot be made as it is asked for.
    """
    case = case_of(design)
    text = _page_text(design, case)
    files: dict[str, Content] = {
        "case/case.txt": case_text(case, design.units),
        "case/case.json": case_json(case),
        "case/arrangement": drawing_page(
            [[front_view(case, design.units), side_view(case, design.units), plan_view(case)]], text
        ),
        "case/seat": drawing_page(
            [[seat_view(case, design.units)]], replace(text, notes=()), largest=SEAT_SCALE
        ),
    }
    files |= {f"case/parts/{name}": page for name, page in part_pages(case, text).items()}
    if case.bent:
        files["case/parts/test_strip"] = strip_page(case, text)
    files |= _sheets(design, case)
    if case.light:
        files["case/wiring"] = wiring_diagram(case.light, text)
        files["case/preview.webp"] = preview_webp(design, case, case.light)
        files["case/main.py"] = program_text(case.light, case.held.name).encode()
    return files


def _sheets(design: Design, case: CaseDesign) -> dict[str, Drawing]:
    """The case's pieces on their stock, in the same way as the object's own."""
    _check_stock(design, case)
    alone = replace(
        design, parts=case.parts, areas=(), clasps=(), materials=(), steps=(), templates=(), mass_g=()
    )
    return {f"case/{path}": sheet for path, sheet in cut_sheets(alone).items()}


def _check_stock(design: Design, case: CaseDesign) -> None:
    """Refuse what the maker's sheets are too small for, with the sheet that would do.

    The object's own check names a smaller object instead; a case does not shrink in step with it.
    """
    cutting = cutting_of(design.taken)
    for part in case.parts:
        if not part.is_cut or not cutting.is_makers(part.material):
            continue
        upright, room = grain_upright(part), cutting.room_mm(part.material)
        if fits(upright, room):
            continue
        stock = cutting.stock_mm(part.material)
        x0, y0, x1, y1 = upright.outline.bounds
        need = [
            _STOCK_STEP_MM * math.ceil((side + has - room_side) / _STOCK_STEP_MM)
            for side, has, room_side in zip((x1 - x0, y1 - y0), stock, room, strict=True)
        ]
        raise DesignError(
            f"choice stock: the {part.name.replace('_', ' ')} of {x1 - x0:.0f} x {y1 - y0:.0f} mm, with a "
            f"margin for the cut, is larger than a sheet of {part.material.replace('_', ' ')} "
            f"({stock[0]:g} x {stock[1]:g} mm); choose stock={part.material}={need[0]:g}x{need[1]:g}mm"
        )


def _page_text(design: Design, case: CaseDesign) -> PageText:
    sprite = design.reading.regions.sprite
    grade = trade.value("drawing.tolerance_class").value["greyboard"]
    return PageText(
        "Display case",
        f"after the sprite {sprite.file}",
        "General arrangement",
        f"{sprite.sha256[:8]}-CASE",
        f"ISO 2768-1 {grade}",
        tuple(in_units(note, design.units) for note in _notes(case)),
        design.units,
    )


def _notes(case: CaseDesign) -> Iterator[str]:
    yield f"Clear inside {' x '.join(length_digits(v) for v in case.inside_mm)} mm, width x depth x height."
    yield (
        "Measure the finished object over its fittings before any acrylic is cut; the object's room is drawn."
    )
