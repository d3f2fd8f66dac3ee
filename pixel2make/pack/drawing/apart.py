"""The parts of a book moved apart along their axes, for the exploded view; nearest to the eye first.

In the book's frame: x from the spine to the fore-edge, y from tail to head, z from the back to the front.
What lies before or behind the block is moved along z, what lies on the spine along x backwards, what goes
round the fore-edge along x forwards.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shapely.affinity import scale, translate
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.design.model import Clasp, Design, Part
from pixel2make.pack.clasp_pages import silhouette
from pixel2make.pack.drawing.bodies import Body, bevelled, prism
from pixel2make.pack.model.frame import Frame
from pixel2make.pack.model.furniture import StrapPlace, strap_place
from pixel2make.pack.ribs import STRIPS, ribs

__all__ = ["bodies_apart"]

_APART = {key: float(gaps) for key, gaps in trade.value("drawing.exploded_apart").value.items()}
_GAP_SHARE = trade.value("drawing.exploded_gap").number
_THINNEST_MM = trade.value("drawing.exploded_thinnest").number
_RIBBON = trade.value("drawing.exploded_ribbon").value
_MARKED = ("board", "front_board", "back_board", "spine_piece", "spine", "flat")
"""Marks of a piece that are drawn on it, and those that begin with "band_"."""
_TEETH = 3
"""Of the zigzag that breaks a ribbon off."""


@dataclass(frozen=True)
class _Book:
    """The closed book, its parts by name, and how far they are moved."""

    design: Design
    frame: Frame
    parts: dict[str, Part]
    numbers: dict[str, int]

    @property
    def gap_mm(self) -> float:
        return _GAP_SHARE * self.frame.size[0]

    @property
    def block_mm(self) -> float:
        return self.frame.get("pages_thickness", self.frame.size[2])

    def away(self, key: str) -> float:
        return _APART[key] * self.gap_mm


def bodies_apart(design: Design) -> list[Body]:
    """All parts that are drawn, with the numbers of the parts list.

    Pieces of one part have the same number.
    """
    parts = {part.name: part for part in design.parts}
    numbers = {part.name: number for number, part in enumerate(design.parts, 1)}
    book = _Book(design, Frame(design), parts, numbers)
    return [
        *_round_the_fore_edge(book),
        *_fittings(book, "front", book.away("fitting")),
        *_board(book, "front_board", book.frame.size[2] + book.away("board")),
        *_sheet(book, "endpaper", book.frame.size[2] + book.away("endpaper")),
        *_block(book),
        *_on_the_spine(book),
        *_sheet(book, "endpaper", -book.away("endpaper")),
        *_board(book, "back_board", -book.away("board")),
        *_fittings(book, "back", -book.away("fitting")),
        *_covering(book),
    ]


# ---- boards, leaves, covering


def _flipped(shape: BaseGeometry, x: float, top: float) -> BaseGeometry:
    """A part's own outline, y down, where its left end lies at x and its upper end at y = top."""
    return translate(scale(shape, 1.0, -1.0, origin=(0, 0)), x, top)


def _deep(part: Part) -> float:
    return max(_THINNEST_MM, part.thickness_mm)


def _board(book: _Book, name: str, z: float) -> Iterator[Body]:
    """A board with its bevel; the front board's outer face is seen, the back board's is not."""
    part = book.parts[name]
    width, height, _ = book.frame.size
    x, top = width - part.size_mm[0], (height + part.size_mm[1]) / 2
    outline, flat = part.outline, dict(part.marks).get("flat")
    is_front = name == "front_board"
    if not is_front:
        # Seen from outside a back board's spine is at the right; here it is seen through from the front.
        outline = scale(outline, -1.0, 1.0, origin=(part.size_mm[0] / 2, 0))
    outline = _flipped(outline, x, top)
    number, high = book.numbers[name], z + _deep(part)
    if is_front and flat is not None and isinstance(outline, Polygon):
        slope = min(book.frame.get("bevel_depth"), _deep(part))
        yield bevelled(number, outline, _flipped(flat, x, top), z, high, slope_mm=slope)
        return
    yield prism(number, outline, z, high)


def _sheet(book: _Book, name: str, z: float) -> Iterator[Body]:
    """A folded endpaper as large as a leaf."""
    part = book.parts.get(name)
    if part is None:
        return
    wide = book.parts["text_block_leaf"].size_mm[0] if "text_block_leaf" in book.parts else part.size_mm[0]
    low = (book.frame.size[1] - part.size_mm[1]) / 2
    yield prism(book.numbers[name], box(0, low, wide, low + part.size_mm[1]), z, z + _deep(part))


def _block(book: _Book) -> Iterator[Body]:
    part = book.parts.get("text_block_leaf")
    if part is not None:
        top = (book.frame.size[1] + part.size_mm[1]) / 2
        yield prism(book.numbers[part.name], _flipped(part.outline, 0.0, top), 0.0, book.block_mm)


def _covering(book: _Book) -> Iterator[Body]:
    """Of one piece behind all boards, or of one on the spine, one on each side and perhaps corners."""
    width, height, _ = book.frame.size
    # Where each begins in x, as shares of its own breadth and of the cover's, and which step it is moved by.
    places = {
        "covering_side": (-1.0, 1.0, "covering_side"),
        "covering": (-0.5, 0.5, "covering"),
        "covering_spine": (-0.5, 0.0, "covering_spine"),
        "covering_corner": (-1.0, 1.0, "covering_spine"),
    }
    for name, (own, cover, step) in places.items():
        part = book.parts.get(name)
        if part is None:
            continue
        x, z = own * part.size_mm[0] + cover * width, book.away(step)
        top = (height + part.size_mm[1]) / 2
        marks = [
            _flipped(mark, x, top) for key, mark in part.marks if key in _MARKED or key.startswith("band_")
        ]
        yield prism(book.numbers[name], _flipped(part.outline, x, top), -z, _deep(part) - z, marks=marks)


# ---- the spine


def _on_the_spine(book: _Book) -> Iterator[Body]:
    """Ribbon, headbands, mull, lining, spine piece and bands, each farther behind the block."""
    height, middle = book.frame.size[1], book.block_mm / 2
    yield from _ribbons(book)
    headband = book.parts.get("headband")
    if headband is not None:
        x, (long, tall) = -book.away("headband"), headband.size_mm
        rise, leaf = book.frame.get("headband_rise"), height - 2 * book.frame.square
        top = (height + leaf) / 2 + rise
        for low in (top - tall, height - top):
            outline = box(middle - long / 2, low, middle + long / 2, low + tall)
            yield prism(book.numbers["headband"], outline, x, x + _deep(headband), along="x")
    for name in ("mull", "spine_lining", "spine_piece"):
        part = book.parts.get(name)
        if part is not None:
            x, (long, tall) = -book.away(name), part.size_mm
            low = (height - tall) / 2
            outline = box(middle - long / 2, low, middle + long / 2, low + tall)
            yield prism(book.numbers[name], outline, x, x + _deep(part), along="x")
    strips = book.parts.get(STRIPS)
    if strips is not None:
        long, deep = strips.size_mm[0], _deep(strips)
        places = ribs(book.design)
        for rib in places:
            at = height - rib.from_head_mm
            outline = box(middle - long / 2, at - rib.core_mm / 2, middle + long / 2, at + rib.core_mm / 2)
            for layer in range(max(1, strips.quantity // len(places))):
                x = -book.away(STRIPS) - layer * deep
                yield prism(book.numbers[STRIPS], outline, x, x + deep, along="x")


def _ribbons(book: _Book) -> Iterator[Body]:
    """Ribbons stand up behind the head of the block, where they are stuck on, and are broken off above."""
    height, middle = book.frame.size[1], book.block_mm / 2
    ribbons = [part for part in book.parts.values() if part.material == "ribbon"]
    for place, part in enumerate(ribbons):
        wide, long = part.size_mm
        z = middle + (place - (len(ribbons) - 1) / 2) * 2 * wide
        low = height - book.frame.square - min(long, _RIBBON["shown"] * book.gap_mm) / 2
        top = low + min(long, _RIBBON["shown"] * book.gap_mm)
        tooth = _RIBBON["zigzag"] * book.gap_mm if top - low < long else 0.0
        ends = [
            (z + wide / 2 - wide * i / (2 * _TEETH), top - tooth * (i % 2)) for i in range(2 * _TEETH + 1)
        ]
        outline = Polygon([(z - wide / 2, low), (z + wide / 2, low), *ends])
        x = -book.away("ribbon")
        yield prism(book.numbers[part.name], outline, x, x + _deep(part), along="x")


# ---- the fore-edge


def _round_the_fore_edge(book: _Book) -> Iterator[Body]:
    """Straps, and clasps farther out, each moved as far as it reaches onto the boards and a little more."""
    width = book.frame.size[0]
    straps = [(part, place) for part in book.parts.values() if (place := strap_place(book.frame, part))]
    clasps = [clasp for clasp in book.design.clasps if clasp.name in book.numbers]
    leather = [
        (clasp, book.parts[f"{clasp.name}-strap"]) for clasp in clasps if f"{clasp.name}-strap" in book.parts
    ]
    start = width + book.gap_mm / 2
    groups: list[list[Body]] = []
    reach = max([_strap_reach(book, part, place) for part, place in straps], default=0.0)
    found = [body for part, place in straps for body in _strap(book, part, place, start + reach - width)]
    start += reach + book.gap_mm / 2 if straps else 0.0
    groups.append(found)
    reach = max([(part.size_mm[0] - book.frame.size[2]) / 2 for _, part in leather], default=0.0)
    found = [
        body for clasp, part in leather for body in _clasp_strap(book, clasp, part, start + reach - width)
    ]
    start += reach + book.gap_mm / 2 if leather else 0.0
    groups.append(found)
    reach = max([clasp.plate_length.value_mm for clasp in clasps], default=0.0)
    groups.append([body for clasp in clasps for body in _clasp(book, clasp, start + reach - width)])
    for group in reversed(groups):
        yield from group


def _strap_reach(book: _Book, part: Part, place: StrapPlace) -> float:
    if place.is_across:
        return place.reach_mm + (_deep(part) if place.is_round else 0.0)
    return book.frame.size[0] - place.middle_mm + part.size_mm[1] / 2


def _strap(book: _Book, part: Part, place: StrapPlace, away: float) -> Iterator[Body]:
    width, height, thick = book.frame.size
    number, deep, half = book.numbers[part.name], _deep(part), part.size_mm[1] / 2
    low, high = place.middle_mm - half, place.middle_mm + half
    if place.is_across:
        inner = 0.0 if place.is_round else width - place.reach_mm
        yield from _bracket(number, (inner + away, width + away), (low, high), (thick, deep), place.is_round)
        return
    band = box(low + away, 0, high + away, height)
    yield prism(number, band, thick, thick + deep)
    for y in (height, -deep):
        yield prism(number, box(low + away, -deep, high + away, thick + deep), y, y + deep, along="y")
    yield prism(number, band, -deep, 0.0)


def _bracket(
    number: int,
    xs: tuple[float, float],
    ys: tuple[float, float],
    stuff: tuple[float, float],
    is_round: bool = False,
) -> Iterator[Body]:
    """A band from the front over the fore-edge to the back, and all round where it is closed."""
    thick, deep = stuff
    yield prism(number, box(xs[0], ys[0], xs[1], ys[1]), thick, thick + deep)
    yield prism(number, box(-deep, ys[0], thick + deep, ys[1]), xs[1], xs[1] + deep, along="x")
    if is_round:
        yield prism(number, box(-deep, ys[0], thick + deep, ys[1]), xs[0] - deep, xs[0], along="x")
    yield prism(number, box(xs[0], ys[0], xs[1], ys[1]), -deep, 0.0)


def _clasp_strap(book: _Book, clasp: Clasp, part: Part, away: float) -> Iterator[Body]:
    width, height, thick = book.frame.size
    reach = max(0.0, (part.size_mm[0] - thick) / 2)
    middle = height - clasp.position_mm - clasp.width.value_mm / 2
    half = part.size_mm[1] / 2
    xs, ys = (width - reach + away, width + away), (middle - half, middle + half)
    yield from _bracket(book.numbers[part.name], xs, ys, (thick, _deep(part)))


def _clasp(book: _Book, clasp: Clasp, away: float) -> Iterator[Body]:
    """Front plate in its outline, the span over the fore-edge, back plate."""
    width, height, thick = book.frame.size
    number, wall = book.numbers[clasp.name], max(_THINNEST_MM, clasp.wall.value_mm)
    top = height - clasp.position_mm
    plate = translate(scale(clasp.plate, -1.0, -1.0, origin=(0, 0)), width + away, top)
    x = width + away
    span = box(-wall, top - clasp.width.value_mm, thick + wall, top)
    yield prism(number, plate, thick, thick + wall)
    yield prism(number, span, x, x + wall, along="x")
    yield prism(number, plate, -wall, 0.0)


def _fittings(book: _Book, board: str, away: float) -> Iterator[Body]:
    """Corner pieces and bosses of one board, in their outline."""
    for fitting in book.design.fittings:
        piece = fitting.sheet.pieces[0]
        if piece.body == board and fitting.name in book.numbers:
            solid = piece.solid()
            low, high = solid.bounds[0][2], solid.bounds[1][2]
            outline = silhouette(solid, 2)
            if isinstance(outline, Polygon | MultiPolygon):
                deep = max(float(high - low), _THINNEST_MM)
                yield prism(book.numbers[fitting.name], outline, float(low) + away, float(low) + away + deep)
