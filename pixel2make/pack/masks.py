"""Masks for painted and gilded areas: one sheet a kind of area at true size, one overview a face.

Areas of one feature and treatment on one face, such as four gilded corner pieces, share a sheet.

A mask covers the face. Along its cut lines the area is taken out, what remains protects the rest.
Registration crosses stand at the same place on every sheet of a face, three of them, neither in
line nor symmetric, so that a sheet can be laid on one way only.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
import shapely.affinity
import shapely.ops
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.design.model import Area, Design
from pixel2make.pack.pens import DrawingBuilder, svg_bytes, text_width_mm

__all__ = ["face_size_mm", "mask_paths", "masks", "narrowest_mm"]

MARGIN_MM = trade.value("cutting.mask_margin").number
BAR_MM = trade.value("cutting.check_bar").number
CROSS_MM = trade.value("cutting.register_cross").number
INSET_MM = trade.value("cutting.register_inset").number
NOTE_MM: float = trade.value("drawing.lettering").value["note"]

_LINE_PITCH = 1.9
"""Baselines apart, in lettering heights: ISO 3098, type B with accents."""

_FOOT_MM = 8.0
"""Strip below the face for the bar, and beside it for the upright one."""

_STEPS = 24
"""Halvings that find the narrowest place to far below a thousandth of a millimetre."""

_SIDES_OF_FACE = {
    "cover": ("cover_width", "cover_height"),
    "back": ("cover_width", "cover_height"),
    "spine": ("book_thickness", "cover_height"),
    "fore_edge": ("book_thickness", "cover_height"),
    "head": ("cover_width", "book_thickness"),
    "tail": ("cover_width", "book_thickness"),
}

_WORDS = {"gilded": "gild", "painted": "paint", "lettering": "letter"}


@dataclass(frozen=True)
class _Page:
    """Where things stand on the sheets of one face, millimetres."""

    width: float
    height: float
    left: float
    top: float
    face: tuple[float, float]
    notes_top: float


def masks(design: Design) -> dict[str, bytes]:
    """Mask sheets by path.

    Parameters
    ----------
    design : Design

    Returns
    -------
    dict of str to bytes
        ``masks/<area>.svg`` and ``masks/overview_<face>.svg``; empty for a design without areas.
    """
    files: dict[str, bytes] = {}
    for face in _faces(design):
        size = face_size_mm(design, face)
        groups = _groups(design, face)
        notes = [_notes(design, group) for group in groups.values()]
        page = _page(size, notes)
        for (path, group), lines in zip(groups.items(), notes, strict=True):
            files[path] = svg_bytes(_mask(page, group, lines).build())
        areas = [area for area in design.areas if area.face == face]
        files[_overview_path(face)] = svg_bytes(_overview(face, size, areas).build())
    return files


def mask_paths(design: Design) -> dict[str, tuple[str, ...]]:
    """Paths of each area's sheets by the area's name, as `masks` writes them."""
    return {area.name: (_path(area), _overview_path(area.face)) for area in design.areas}


def _path(area: Area) -> str:
    return f"masks/{area.face}_{area.feature}_{area.treatment}.svg"


def _overview_path(face: str) -> str:
    return f"masks/{face}_overview.svg"


def _groups(design: Design, face: str) -> dict[str, list[Area]]:
    groups: dict[str, list[Area]] = {}
    for area in design.areas:
        if area.face == face:
            groups.setdefault(_path(area), []).append(area)
    return groups


def _faces(design: Design) -> list[str]:
    return [face for face in _SIDES_OF_FACE if any(area.face == face for area in design.areas)]


def face_size_mm(design: Design, face: str) -> tuple[float, float]:
    """Width and height of a face of the closed book, along its own two edges."""
    width, height = (design.dimension(name).value_mm for name in _SIDES_OF_FACE[face])
    return width, height


def narrowest_mm(outline: Polygon | MultiPolygon) -> float:
    """Width of the narrowest place of an outline, in its own unit.

    The widest disc that can be taken off all around before the outline falls apart, loses a piece or
    opens a hole to the outside.

    >>> round(narrowest_mm(box(0, 0, 10, 4)), 6)
    4.0
    """
    return min(_narrowest_of_piece(part) for part in shapely.get_parts(outline))


def _narrowest_of_piece(piece: Polygon) -> float:
    low, high = 0.0, math.sqrt(piece.area) * 2
    for _ in range(_STEPS):
        middle = (low + high) / 2
        left = piece.buffer(-middle / 2, join_style="mitre")
        is_whole = left.geom_type == "Polygon" and not left.is_empty
        if is_whole and len(left.interiors) == len(piece.interiors):
            low = middle
        else:
            high = middle
    return low


def _notes(design: Design, group: Sequence[Area]) -> list[str]:
    first = group[0]
    lines = [
        f"{_title(first)}: {design.reading.regions.sprite.file}, {first.face.replace('_', '-')}, true size",
        f"Take out along the cut lines, keep the rest; {_WORDS[first.treatment]} what is open. {first.why}",
    ]
    lines += [_figures(area) for area in group]
    islands = sum(len(part.interiors) for area in group for part in shapely.get_parts(area.outline))
    if islands:
        word = "island" if islands == 1 else "islands"
        lines.append(
            f"{islands} {word} inside: lay each on by itself with an adhesive mask, "
            "or cut a stencil with bridges"
        )
    return lines


def _figures(area: Area) -> str:
    return (
        f"{area.name.replace('_', ' ')}: {area.outline.area / 100:.1f} cm², "
        f"outline {area.outline.length:.0f} mm, "
        f"narrowest place {narrowest_mm(area.outline):.1f} mm, colour in the sprite {area.color}"
    )


def _title(area: Area) -> str:
    return f"Mask for {area.feature.replace('_', ' ')}, {area.treatment}"


def _page(size: tuple[float, float], notes: Sequence[Sequence[str]]) -> _Page:
    """One page for all sheets of a face, so that they lie on each other edge to edge."""
    width, height = size
    left = MARGIN_MM + _FOOT_MM
    page_width = left + max(width, BAR_MM) + MARGIN_MM
    rows = max(sum(len(_wrapped(line, page_width - 2 * INSET_MM)) for line in lines) for lines in notes)
    body = max(height, BAR_MM)
    notes_top = MARGIN_MM + body + MARGIN_MM + _FOOT_MM
    page_height = notes_top + (rows + 1) * NOTE_MM * _LINE_PITCH
    return _Page(page_width, page_height, left, MARGIN_MM, size, notes_top)


def _mask(page: _Page, group: Sequence[Area], notes: Sequence[str]) -> DrawingBuilder:
    sheet = DrawingBuilder(page.width, page.height, _title(group[0]))
    sheet.rectangle("print", 0.0, 0.0, page.width, page.height)
    sheet.rectangle("mark", page.left, page.top, *page.face)
    for area in group:
        sheet.polygon("cut", shapely.affinity.translate(area.outline, page.left, page.top))
    for x, y in _crosses(page):
        _cross(sheet, x, y)
    _bars(sheet, page)
    _set_notes(sheet, notes, INSET_MM, page.notes_top, page.width - 2 * INSET_MM)
    return sheet


def _crosses(page: _Page) -> Iterator[tuple[float, float]]:
    """Two above and one at the right: no turn of the sheet, nor its back, maps them onto themselves."""
    width, height = page.face
    inner = (MARGIN_MM - CROSS_MM) / 2
    upper = page.top - inner - CROSS_MM / 2
    yield page.left + CROSS_MM / 2, upper
    yield page.left + width - CROSS_MM / 2, upper
    yield page.left + width + inner + CROSS_MM / 2, page.top + height * 0.9


def _cross(sheet: DrawingBuilder, x: float, y: float) -> None:
    half = CROSS_MM / 2
    sheet.line("dimension", (x - half, y), (x + half, y))
    sheet.line("dimension", (x, y - half), (x, y + half))
    sheet.circle("dimension", (x, y), half / 2)


def _bars(sheet: DrawingBuilder, page: _Page) -> None:
    """100 mm along the foot and up the left side; measured before anything is cut."""
    tick = 1.5
    foot = page.notes_top - _FOOT_MM
    sheet.line("print", (page.left, foot), (page.left + BAR_MM, foot))
    for x in (page.left, page.left + BAR_MM):
        sheet.line("print", (x, foot - tick), (x, foot + tick))
    sheet.text("100 mm", (page.left + BAR_MM / 2, foot - 1), NOTE_MM, "middle")
    side = INSET_MM
    sheet.line("print", (side, page.top), (side, page.top + BAR_MM))
    for y in (page.top, page.top + BAR_MM):
        sheet.line("print", (side - tick, y), (side + tick, y))
    sheet.text("100 mm", (side + NOTE_MM + 1.5, page.top + BAR_MM / 2), NOTE_MM, "middle", is_upward=True)


def _set_notes(sheet: DrawingBuilder, notes: Sequence[str], x: float, y: float, width: float) -> None:
    for note in notes:
        for line in _wrapped(note, width):
            y += NOTE_MM * _LINE_PITCH
            sheet.text(line, (x, y), NOTE_MM)


def _wrapped(text: str, width: float) -> list[str]:
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width_mm(longer, NOTE_MM) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def _overview(face: str, size: tuple[float, float], areas: Sequence[Area]) -> DrawingBuilder:
    listing = [
        f"{i}  {area.name.replace('_', ' ')}: {area.treatment}, "
        f"{area.outline.area / 100:.1f} cm², {area.color}"
        for i, area in enumerate(areas, 1)
    ]
    title = f"All painted and gilded areas of the {face.replace('_', '-')}, true size"
    page = _page(size, [[title, *listing]])
    sheet = DrawingBuilder(page.width, page.height, title)
    sheet.rectangle("print", 0.0, 0.0, page.width, page.height)
    sheet.rectangle("mark", page.left, page.top, *size)
    taken: list[Polygon] = []
    moved = [shapely.affinity.translate(area.outline, page.left, page.top) for area in areas]
    for area, outline in zip(areas, moved, strict=True):
        sheet.polygon("detail", outline, tint=area.color)
    for index, outline in enumerate(moved, 1):
        taken.append(_number(sheet, page, str(index), outline, [*taken], moved))
    _bars(sheet, page)
    _set_notes(sheet, [title, *listing], INSET_MM, page.notes_top, page.width - 2 * INSET_MM)
    return sheet


def _number(
    sheet: DrawingBuilder,
    page: _Page,
    value: str,
    outline: Polygon | MultiPolygon,
    taken: Sequence[Polygon],
    outlines: Sequence[Polygon | MultiPolygon],
) -> Polygon:
    """Set an area's number on free ground near it, with a leader to the area."""
    mark = outline.representative_point()
    lines = shapely.union_all([shape.boundary for shape in outlines])
    inside = box(0, 0, page.width, page.notes_top - _FOOT_MM * 2)
    for radius in range(4, 400, 2):
        for turn in range(16):
            angle = math.pi * (turn / 8 - 0.25)
            at = (mark.x + radius * math.cos(angle), mark.y + radius * math.sin(angle))
            text = DrawingBuilder(1, 1).text(value, at, NOTE_MM, "middle")
            room = text.box.buffer(1.0)
            is_free = inside.contains(room) and not room.intersects(lines)
            if is_free and not any(room.intersects(other) for other in taken):
                is_on_area = any(shape.contains(room) for shape in outlines)
                if is_on_area and not outline.contains(room):
                    continue
                if not outline.contains(room):
                    near = shapely.ops.nearest_points(room, mark)[0]
                    sheet.line("leader", (near.x, near.y), (mark.x, mark.y))
                    sheet.dot((mark.x, mark.y))
                elif is_on_area:
                    # Lettering on a dark tint would not be read: it gets a ground of its own.
                    sheet.polygon("print", room, tint="#ffffff")
                sheet.text(value, at, NOTE_MM, "middle")
                return room
    return Polygon()
