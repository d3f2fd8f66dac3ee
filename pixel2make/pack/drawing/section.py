"""Section across the spine, and enlarged: the front joint, and where there are such the bevel and a band.

The section is drawn in millimetres of the real object: x from the spine's outer face to the fore-edge, y from
the front board's outer face to the back board's. The band is cut along the spine.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from shapely.affinity import affine_transform, scale
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.design.model import Design
from pixel2make.pack.drawing.cutting_plane import SECTION, cutting_plane
from pixel2make.pack.drawing.dimension_line import Linear, leader, linear
from pixel2make.pack.drawing.hatch import cut_face
from pixel2make.pack.drawing.heading import frame_views, heading, start_sheet
from pixel2make.pack.drawing.layers import (
    Layer,
    band_layers,
    band_window,
    bevel_window,
    joint_window,
    rib_outline,
    spine_layers,
)
from pixel2make.pack.drawing.layout import Layout
from pixel2make.pack.drawing.sheet import (
    SCALES,
    SHEETS,
    TITLE_BLOCK_HEIGHT_MM,
    scale_name,
)
from pixel2make.pack.drawing.view import length_of
from pixel2make.pack.pens import Drawing, DrawingBuilder
from pixel2make.pack.ribs import ribs
from pixel2make.quantity import length_digits

__all__ = ["section_drawing"]

_ROOM = {key: float(mm) for key, mm in trade.value("drawing.section_room").value.items()}
_SHARES = {key: float(share) for key, share in trade.value("drawing.section_shares").value.items()}
_LETTERING = trade.value("drawing.lettering").value
NOTE_MM, NAME_MM = float(_LETTERING["note"]), float(_LETTERING["dimension"])
_LETTERS = "BCD"
"""Of the enlarged parts, after that of the section."""


@dataclass(frozen=True)
class _Placing:
    scale: float
    x: float
    y: float

    def shape(self, geometry: BaseGeometry) -> BaseGeometry:
        return affine_transform(geometry, (self.scale, 0, 0, self.scale, self.x, self.y))

    def point(self, x: float, y: float) -> tuple[float, float]:
        return (self.x + self.scale * x, self.y + self.scale * y)


@dataclass(frozen=True)
class _Enlarged:
    """A part that is drawn larger.

    Attributes
    ----------
    letter : str
    window : Polygon
        What of the layers is shown.
    layers, named : tuple of Layer
        All, and those that have a leader.
    lengths : tuple of (mm, start, end, is_vertical)
        Dimensions above it or beside it at its outer side.
    is_along : bool
        Cut along the spine, by a plane of its own.
    """

    letter: str
    window: Polygon
    layers: tuple[Layer, ...]
    named: tuple[Layer, ...] = ()
    lengths: tuple[tuple[float, tuple[float, float], tuple[float, float], bool], ...] = ()
    is_along: bool = False

    def title(self, by: float) -> str:
        """Letters and scale over it."""
        letters = f"{self.letter}-{self.letter}" if self.is_along else self.letter
        return f"{letters} ({scale_name(by)})"


def section_drawing(design: Design) -> Drawing:
    """Section A-A across the spine and its enlarged parts, each in a scale of ISO 5455.

    One enlarged part stands on an A3 sheet, several on A2.
    """
    width, thick = length_of(design, "cover_width"), length_of(design, "book_thickness")
    enlarged = _enlarged(design)
    sheet = SHEETS["A3" if len(enlarged) == 1 else "A2"]
    x0, y0, x1, y1 = sheet.space
    zone = (
        x0 + _ROOM["left"],
        y0 + _ROOM["foot"],
        x1 - _ROOM["right"],
        y1 - TITLE_BLOCK_HEIGHT_MM - _ROOM["air"],
    )
    cut = (zone[3] - zone[1]) * _SHARES["whole"] - 1.6 * _ROOM["above"]
    first = _fitted((width, thick), zone[2] - zone[0] - 2 * _ROOM["beside"], cut)
    middle = (zone[0] + zone[2]) / 2
    whole = _Placing(first, middle - width * first / 2, zone[1] + _ROOM["above"])
    top = whole.y + thick * first + 1.4 * _ROOM["above"]
    placings = _laid(enlarged, (zone[0], top, zone[2], zone[3]))
    names = dict.fromkeys(scale_name(by) for by in (first, *(p.scale for p in placings)))
    block = heading(
        design,
        sheet,
        title="Section across the spine",
        document="Section and details",
        mark="SE",
        scale=", ".join(names),
        note="swell of the thread not drawn",
    )
    page = start_sheet(sheet, replace(block, projection=None), "Closed book, section across the spine")
    before = len(page.paths), len(page.texts)
    _draw_whole(page, design, whole, thick)
    for one, placing in zip(enlarged, placings, strict=True):
        for layer in one.layers:
            cut_face(page, placing.shape(layer.shape.intersection(one.window)), layer.hatch)
        if not one.is_along:
            _ring(page, whole, one, width)
        name_at = (placing.point(*_middle(one.window))[0], top - _ROOM["above"] * 0.75)
        page.text(one.title(placing.scale), name_at, NAME_MM, "middle")
    name = f"{SECTION}-{SECTION} ({scale_name(first)})"
    page.text(name, (middle, zone[1] + _ROOM["name"]), NAME_MM, "middle")
    layout = Layout(page, zone)
    _measures(layout, design, whole, (width, thick))
    _mark_planes(layout, design, enlarged, whole)
    for one, placing in zip(enlarged, placings, strict=True):
        _annotate(layout, design, one, placing)
    frame_views(page, *before)
    return page.build()


def _enlarged(design: Design) -> tuple[_Enlarged, ...]:
    """The joint always; the bevel and the topmost band where the design has them."""
    layers = spine_layers(design)
    letters = iter(_LETTERS)
    found = [_Enlarged(next(letters), joint_window(design), layers, layers)]
    window = bevel_window(design)
    if window is not None:
        width, skin = length_of(design, "cover_width"), length_of(design, "covering_thickness")
        reach, depth = length_of(design, "bevel_width"), length_of(design, "bevel_depth")
        crest, foot, corner = (width - reach, skin), (width, skin + depth), (width, skin)
        lengths = ((reach, crest, corner, False), (depth, corner, foot, True))
        found.append(_Enlarged(next(letters), window, layers, (), lengths))
    window = band_window(design)
    if window is not None:
        rib = ribs(design)[0]
        broad = length_of(design, "band_width")
        top, low = rib.from_head_mm - broad / 2, rib.from_head_mm + broad / 2
        lengths = (
            (rib.rise_mm, (-rib.rise_mm, top), (0.0, window.bounds[1]), False),
            (broad, (-rib.rise_mm, top), (-rib.rise_mm, low), True),
        )
        cut = band_layers(design)
        found.append(_Enlarged(next(letters), window, cut, cut, lengths, is_along=True))
    return tuple(found)


def _fitted(size: tuple[float, float], width: float, height: float) -> float:
    """The largest scale at which a size fits; the smallest of all where none does."""
    return next((s for s in SCALES if size[0] * s <= width and size[1] * s <= height), SCALES[-1])


def _laid(enlarged: Sequence[_Enlarged], zone: tuple[float, float, float, float]) -> list[_Placing]:
    """Side by side, each as large as its column allows with room for the words of its leaders."""
    x0, top, x1, bottom = zone
    shares = [_SHARES["joint"], *[_SHARES["other"]] * (len(enlarged) - 1)] if len(enlarged) > 1 else [1.0]
    found, left = [], x0
    for one, share in zip(enlarged, shares, strict=True):
        column = (x1 - x0) * share
        wx0, wy0, wx1, wy1 = one.window.bounds
        by = _fitted((wx1 - wx0, wy1 - wy0), column - 2 * _ROOM["leader"], bottom - top - _ROOM["above"])
        middle = left + column / 2
        found.append(_Placing(by, middle - (wx0 + wx1) / 2 * by, top - wy0 * by))
        left += column
    return found


def _middle(window: Polygon) -> tuple[float, float]:
    x0, y0, x1, y1 = window.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2


def _draw_whole(page: DrawingBuilder, design: Design, placing: _Placing, thick: float) -> None:
    for layer in spine_layers(design):
        cut_face(page, placing.shape(layer.shape), layer.hatch)
    rib = rib_outline(design, thick)
    if rib is not None:
        # It lies behind the plane, so its edges are seen, and its face has no hatching.
        edges = placing.shape(rib)
        page.line("detail", *((float(x), float(y)) for x, y in edges.boundary.coords[:4]))


def _ring(page: DrawingBuilder, placing: _Placing, one: _Enlarged, width: float) -> None:
    """A thin ring round what is enlarged (ISO 128-3), its letter on the side of the nearer edge."""
    x0, y0, x1, y1 = placing.shape(one.window).bounds
    disc = Point((x0 + x1) / 2, (y0 + y1) / 2).buffer(1.0, quad_segs=16)
    circle = scale(disc, (x1 - x0) * 0.62, (y1 - y0) * 0.75)
    page.line("detail", *((float(x), float(y)) for x, y in circle.exterior.coords))
    is_left = _middle(one.window)[0] < width / 2
    out = (x1 - x0) * 0.12 + 2.0
    at = (x0 - out if is_left else x1 + out, y0 - (y1 - y0) * 0.25)
    page.text(one.letter, at, NAME_MM, "end" if is_left else "start")


def _mark_planes(layout: Layout, design: Design, enlarged: Sequence[_Enlarged], whole: _Placing) -> None:
    """Where what is cut along the spine is cut: half-way through the book, or as near as there is room."""
    size = length_of(design, "cover_width"), length_of(design, "book_thickness")
    out = max((rib.rise_mm for rib in ribs(design)), default=0.0)
    bounds = (*whole.point(-out, 0.0), *whole.point(*size))
    for one in enlarged:
        if one.is_along:
            layout.place(cutting_plane(layout.fragment, bounds, letter=one.letter))


def _measures(layout: Layout, design: Design, placing: _Placing, size: tuple[float, float]) -> None:
    width, thick = size
    ends = {False: ((0.0, thick), (width, thick)), True: ((width, 0.0), (width, thick))}
    for is_vertical, (start, end) in ends.items():
        length = length_digits(thick if is_vertical else width, design.units)
        first, last = placing.point(*start), placing.point(*end)
        base = first[0] if is_vertical else first[1]
        layout.place(linear(layout.fragment, Linear(length, first, last, is_vertical, 1, base), NAME_MM))


def _annotate(layout: Layout, design: Design, one: _Enlarged, placing: _Placing) -> None:
    """Dimensions first, since they have the fewer places, then the names of the layers."""
    x0, y0, x1, _ = placing.shape(one.window).bounds
    for value, start, end, is_vertical in one.lengths:
        layout.place(
            fragment
            for side in ((-1, 1) if one.is_along else (1, -1))
            for fragment in _length(
                layout, design, placing, (value, start, end), is_vertical, (x0, y0, x1), side
            )
        )
    for layer in one.named:
        layout.place(leader(layout.fragment, layer.name, placing.point(*layer.mark), NOTE_MM, 4.0))


def _length(
    layout: Layout,
    design: Design,
    placing: _Placing,
    length: tuple[float, tuple[float, float], tuple[float, float]],
    is_vertical: bool,
    edges: tuple[float, float, float],
    side: int,
) -> Iterator[DrawingBuilder]:
    """Level dimensions stand above the part, upright ones beside it."""
    value, start, end = length
    left, top, right = edges
    base = (left if side < 0 else right) if is_vertical else top
    label = length_digits(value, design.units)
    first, last = placing.point(*start), placing.point(*end)
    line = Linear(label, first, last, is_vertical, side if is_vertical else -1, base)
    yield from linear(layout.fragment, line, NAME_MM)
