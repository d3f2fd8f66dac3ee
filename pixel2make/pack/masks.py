"""Masks for painted and gilded areas: one sheet a kind of area at true size, one overview a face.

Areas of one feature and treatment on one face, such as four gilded corner pieces, share a sheet.

A mask covers the face. Along its cut lines the area is taken out, what remains protects the rest.
Registration crosses stand at the same place on every sheet of a face, three of them, neither in
line nor symmetric, so that a sheet can be laid on one way only.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
import shapely.affinity
import shapely.ops
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make.design.model import Area, Design
from pixel2make.geometry.narrow import narrowest
from pixel2make.pack.face_page import NOTE_MM, FacePage, face_page
from pixel2make.pack.pens import Drawing, DrawingBuilder

__all__ = ["face_size_mm", "mask_paths", "masks"]

_SIDES_OF_FACE = {
    "cover": ("cover_width", "cover_height"),
    "back": ("cover_width", "cover_height"),
    "spine": ("book_thickness", "cover_height"),
    "fore_edge": ("book_thickness", "cover_height"),
    "head": ("cover_width", "book_thickness"),
    "tail": ("cover_width", "book_thickness"),
}

_WORDS = {"gilded": "gild", "painted": "paint", "lettering": "letter"}


def masks(design: Design) -> dict[str, Drawing]:
    """Mask sheets by path.

    Parameters
    ----------
    design : Design

    Returns
    -------
    dict of str to Drawing
        ``masks/<area>`` and ``masks/overview_<face>``; empty for a design without areas.
    """
    files: dict[str, Drawing] = {}
    for face in _faces(design):
        size = face_size_mm(design, face)
        for path, group in _groups(design, face).items():
            files[path] = _mask(size, group, _notes(design, group), design.units).build()
        areas = [area for area in design.areas if area.face == face]
        files[_overview_path(face)] = _overview(face, size, areas, design.units).build()
    return files


def mask_paths(design: Design) -> dict[str, tuple[str, ...]]:
    """Paths of each area's sheets by the area's name, as `masks` writes them."""
    return {area.name: (_path(area), _overview_path(area.face)) for area in design.areas}


def _path(area: Area) -> str:
    return f"masks/{area.face}_{area.feature}_{area.treatment}"


def _overview_path(face: str) -> str:
    return f"masks/{face}_overview"


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
        f"narrowest place {narrowest(area.outline).size:.1f} mm, colour in the sprite {area.color}"
    )


def _title(area: Area) -> str:
    return f"Mask for {area.feature.replace('_', ' ')}, {area.treatment}"


def _mask(
    size: tuple[float, float], group: Sequence[Area], notes: Sequence[str], units: str
) -> DrawingBuilder:
    page = face_page(_title(group[0]), size, notes, units=units)
    for area in group:
        page.sheet.polygon("cut", page.shape(area.outline))
    return page.sheet


def _overview(face: str, size: tuple[float, float], areas: Sequence[Area], units: str) -> DrawingBuilder:
    listing = [
        f"{i}  {area.name.replace('_', ' ')}: {area.treatment}, "
        f"{area.outline.area / 100:.1f} cm², {area.color}"
        for i, area in enumerate(areas, 1)
    ]
    title = f"All painted and gilded areas of the {face.replace('_', '-')}, true size"
    page = face_page(title, size, [title, *listing], units=units)
    moved = [page.shape(area.outline) for area in areas]
    for area, outline in zip(areas, moved, strict=True):
        page.sheet.polygon("detail", outline, tint=area.color)
    taken: list[Polygon] = []
    for index, outline in enumerate(moved, 1):
        taken.append(_number(page, str(index), outline, taken, moved))
    return page.sheet


def _number(
    page: FacePage,
    value: str,
    outline: Polygon | MultiPolygon,
    taken: Sequence[Polygon],
    outlines: Sequence[Polygon | MultiPolygon],
) -> Polygon:
    """Set an area's number on free ground near it, with a leader to the area."""
    mark = outline.representative_point()
    lines = shapely.union_all([shape.boundary for shape in outlines])
    sheet = page.sheet
    (x, y), (width, height) = page.origin, page.face
    inside = box(x, y, x + width, y + height).buffer(NOTE_MM * 3)
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
