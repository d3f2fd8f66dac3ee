"""A hand-made Design of any size, for the tests of the pack."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from shapely.affinity import translate
from shapely.geometry import Point, Polygon, box

from pixel2make.design.model import Area, Clasp, Design, Part
from pixel2make.pack.pens import Drawing, svg_bytes
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Face, Feature, Patch, Proportions, Reading, View
from pixel2make.regions.model import Region, RegionMap
from pixel2make.sprite.model import Sprite

GOLD, RED, BLUE = "#d8b040", "#962c34", "#345c96"


def chosen(name: str, value: float, origin: str = "rule") -> Dimension:
    return Dimension(name, value, value, value, origin, "as drawn", "common practice")


def measured(name: str, value: float, half: float) -> Dimension:
    return Dimension(name, value, max(value - half, 0.0), value + half, "sprite", "counted pixels", "sprite")


def reading(rows: int = 20, columns: int = 16) -> Reading:
    rgba = np.zeros((rows, columns, 4), np.uint8)
    rgba[2:-2, 2:-4] = (150, 44, 52, 255)
    background = rgba[..., 3] == 0
    sprite = Sprite("lamplighters-log.png", "5a" * 32, rgba, background)
    region = Region(
        1, 0, False, int((~background).sum()), (2, 2, columns - 4, rows - 2), (35, 45, 25), RED, (RED,)
    )
    regions = RegionMap(sprite, (~background).astype(np.int32), (region,))
    view = View(
        "front", 0.9, (2.0, 2.0), (columns - 6.0, 0.0), (0.0, rows - 4.0), why=("One upright rectangle.",)
    )
    cover = ~background
    empty = np.zeros_like(cover)
    faces = tuple(
        Face(
            name,
            (2.0, 2.0),
            (columns - 6.0, 0.0),
            (0.0, rows - 4.0),
            name == "cover",
            cover if name == "cover" else empty,
        )
        for name in ("cover", "spine", "fore_edge", "head", "tail", "back")
    )
    patches = (
        Patch("r1", 1, "cover", cover, "cover", 0.9),
        Patch("background", 0, None, background, "background", 1.0),
    )
    features = (
        Feature("cover-1", "cover", ("r1",), "cover", cover, 0.9),
        Feature("background-1", "background", ("background",), None, background, 1.0),
    )
    ratio = (columns - 6.0) / (rows - 4.0)
    proportions = Proportions(
        "as_drawn", (ratio, 1.0, 0.0), (ratio, 1.0, 0.0), (ratio, 1.0, 0.0), 1.0, "flat", "sprite"
    )
    return Reading(regions, "book", view, (), (proportions,), faces, patches, features)


def ring(center: tuple[float, float], pitch: float) -> Polygon:
    """A blocky ring, five pixels across with a hole of one, as drawn on a grid."""
    cells = [
        (i, j) for i in range(5) for j in range(5) if (i, j) not in {(0, 0), (0, 4), (4, 0), (4, 4), (2, 2)}
    ]
    x0, y0 = center[0] - 2.5 * pitch, center[1] - 2.5 * pitch
    shape: Polygon = box(0, 0, 0, 0)
    for i, j in cells:
        shape = shape.union(box(x0 + i * pitch, y0 + j * pitch, x0 + (i + 1) * pitch, y0 + (j + 1) * pitch))
    return shape


def rounded(width: float, height: float, radius: float) -> Polygon:
    """A board with its two corners on the right rounded."""
    if radius <= 0:
        return box(0, 0, width, height)
    corners = [Point(width - radius, y).buffer(radius, quad_segs=16) for y in (radius, height - radius)]
    body = box(0, 0, width - radius, height).union(box(width - radius, radius, width, height - radius))
    for corner in corners:
        body = body.union(corner)
    return body


def clasp(number: int, position: float, width: float, length: float, thickness: float) -> Clasp:
    plate = box(0, 0, length, width)
    return Clasp(
        f"clasp-{number}",
        plate,
        position,
        chosen("clasp_span", thickness + 0.5),
        measured("clasp_plate_length", length, length / 4),
        measured("clasp_width", width, width / 4),
        chosen("clasp_wall", 2.0),
        chosen("clasp_sheet", 1.0),
        chosen("clasp_inside_radius", 1.0),
        0.4074,
        "brass",
        GOLD,
    )


def book(
    width: float = 212.0,
    height: float = 300.0,
    thickness: float = 45.0,
    *,
    clasps: int = 2,
    radius: float = 8.0,
    leaves: int = 40,
    emblem: bool = True,
    title: bool = True,
    extra_dimensions: int = 10,
) -> Design:
    """A closed book: boards, spine piece, covering, leaves, emblem, title area, border, clasps."""
    board, square, joint = max(1.0, min(3.0, height / 100)), max(1.0, min(4.5, height / 90)), width * 0.05
    board_width, block = width - joint, thickness - 2 * board
    pitch = height / 20
    turn_in = 15.0
    front = rounded(board_width, height, radius)
    parts = (
        Part("front_board", "greyboard", 1, board, front, "height"),
        Part("back_board", "greyboard", 1, board, front, "height"),
        Part("spine_piece", "greyboard", 1, board, box(0, 0, thickness, height), "height"),
        Part(
            "covering",
            "leather",
            1,
            1.0,
            box(0, 0, 2 * width + thickness + 2 * turn_in, height + 2 * turn_in),
            None,
            True,
            (
                ("board", translate(front, turn_in + width + thickness + joint, turn_in)),
                ("board", box(turn_in, turn_in, turn_in + board_width, turn_in + height)),
                ("spine_piece", box(turn_in + width, turn_in, turn_in + width + thickness, turn_in + height)),
            ),
        ),
        Part(
            "text_block_leaf", "paper", leaves, 0.15, box(0, 0, width - square, height - 2 * square), "height"
        ),
        Part("clasp-1", "brass", 1, 1.0, box(0, 0, 20, 60), None, False),
    )
    areas = []
    if emblem:
        areas.append(
            Area(
                "emblem-1",
                "emblem",
                "cover",
                "gilded",
                GOLD,
                ring((width / 2, height * 0.6), pitch),
                "a disc in the middle",
            )
        )
    if title:
        areas.append(
            Area(
                "title_area-1",
                "title_area",
                "cover",
                "lettering",
                BLUE,
                box(width * 0.25, height * 0.12, width * 0.75, height * 0.12 + 2 * pitch),
                "a bar near the head",
            )
        )
    areas.append(
        Area(
            "border-1",
            "border",
            "cover",
            "painted",
            RED,
            box(width * 0.12, height * 0.05, width * 0.9, height * 0.95).difference(
                box(
                    width * 0.12 + pitch / 2,
                    height * 0.05 + pitch / 2,
                    width * 0.9 - pitch / 2,
                    height * 0.95 - pitch / 2,
                )
            ),
            "a frame",
        )
    )
    places = {0: (), 1: (0.45,), 2: (0.22, 0.7), 3: (0.15, 0.45, 0.75)}[clasps]
    dimensions = [
        measured("cover_width", width, width / 16),
        chosen("cover_height", height, "maker"),
        measured("book_thickness", thickness, thickness / 4),
        chosen("board_thickness", board, "stock"),
        chosen("board_width", board_width),
        chosen("board_height", height),
        chosen("square", square),
        chosen("joint_width", joint),
        chosen("block_thickness", block),
        chosen("corner_radius", radius),
        *(measured(f"extra_length_{i}", 10.0 + i, 1.0) for i in range(extra_dimensions)),
    ]
    return Design(
        reading=reading(),
        given="height",
        dimensions=tuple(dimensions),
        feature_sizes={
            "emblem-1": (
                measured("emblem-1_width", 5 * pitch, pitch),
                measured("emblem-1_height", 5 * pitch, pitch),
            )
        },
        parts=parts,
        areas=tuple(areas),
        clasps=tuple(
            clasp(i + 1, place * height, height * 0.08, width * 0.2, thickness)
            for i, place in enumerate(places)
        ),
        materials=(),
        steps=(),
        choices=(),
    )


SIZES: dict[str, dict[str, float | int | bool]] = {
    "usual": {},
    "palm": {"width": 50.0, "height": 70.0, "thickness": 18.0, "clasps": 1, "radius": 3.0},
    "metre": {"width": 700.0, "height": 1000.0, "thickness": 140.0, "clasps": 3, "radius": 20.0},
    "thin": {"width": 150.0, "height": 210.0, "thickness": 7.0, "clasps": 0, "radius": 0.0},
    "thick": {"width": 160.0, "height": 240.0, "thickness": 180.0, "clasps": 3, "radius": 10.0},
    "wide": {"width": 400.0, "height": 200.0, "thickness": 30.0, "clasps": 1, "radius": 5.0},
    "bare": {"clasps": 0, "radius": 0.0, "emblem": False, "title": False, "extra_dimensions": 0},
    "many rows": {"extra_dimensions": 60},
}
"""Keyword arguments of `book` by what is special about it."""


def svg_files(contents: Mapping[str, bytes | Drawing]) -> dict[str, bytes]:
    """Contents of a section as files, its drawings as SVG alone."""
    return {
        (f"{path}.svg" if isinstance(content, Drawing) else path): (
            svg_bytes(content) if isinstance(content, Drawing) else content
        )
        for path, content in contents.items()
    }
