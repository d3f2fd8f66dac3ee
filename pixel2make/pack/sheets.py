"""Cut sheets: the parts of one material and thickness, laid on stock at true size."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.design.model import Design, Part
from pixel2make.pack.bars import check_bar, check_bar_words
from pixel2make.pack.face_page import wrapped
from pixel2make.pack.nesting import Placed, Sheet, nest
from pixel2make.pack.pens import DrawingBuilder, svg_bytes, text_width_mm
from pixel2make.quantity import in_units

__all__ = ["cut_sheets", "sheet_paths"]

GAP_MM = trade.value("cutting.part_gap").number
MARGIN_MM = trade.value("cutting.register_inset").number
NOTE_MM: float = trade.value("drawing.lettering").value["note"]
NAME_MM: float = trade.value("drawing.lettering").value["dimension"]

_LINE_PITCH = 1.9
"""Baselines apart, in lettering heights: ISO 3098, type B with accents."""

_CLEAR_MM = 1.0
"""Least distance of lettering from a line."""

_FOOT = 0.27
"""Where the baseline lies above a line's foot, in line heights: room for descenders."""

_ARROW_MM = 14.0
"""Length of a grain arrow; on small parts a third of the part."""

_CANDIDATES = 24
"""Places tried along each side of a part for its name."""

_STRIP_MM = 12.0
"""Room for the upright bar beside the parts, and for the level one below them."""


@dataclass(frozen=True)
class _Laid:
    """One cut sheet before it is drawn."""

    path: str
    material: str
    thickness_mm: float
    number: int
    of: int
    sheet: Sheet
    parts: tuple[Part, ...]


def cut_sheets(design: Design) -> dict[str, bytes]:
    """Cut sheets by path, SVG at true size.

    Parameters
    ----------
    design : Design

    Returns
    -------
    dict of str to bytes
        ``sheets/<material>_<thickness>mm.svg``, numbered where a material takes several sheets. The
        page shows the used part of the stock, from its upper left corner.
    """
    return {laid.path: svg_bytes(_drawn(design, laid).build()) for laid in _lay(design)}


def sheet_paths(design: Design) -> dict[str, tuple[str, ...]]:
    """Paths by part name, as `cut_sheets` writes them."""
    found: dict[str, list[str]] = {}
    for laid in _lay(design):
        for placed in laid.sheet.parts:
            where = found.setdefault(laid.parts[placed.index].name, [])
            if laid.path not in where:
                where.append(laid.path)
    return {name: tuple(paths) for name, paths in found.items()}


@lru_cache(maxsize=1)
def _lay(design: Design) -> tuple[_Laid, ...]:
    """Sheets of a design; the files and the spec's list of them ask for the same ones."""
    return tuple(_laid_by_material(design))


def _laid_by_material(design: Design) -> Iterator[_Laid]:
    groups: dict[tuple[str, float], list[Part]] = {}
    for part in design.parts:
        if part.is_cut:
            groups.setdefault((part.material, round(part.thickness_mm, 3)), []).extend([part] * part.quantity)
    for (material, thickness), parts in sorted(groups.items()):
        sheets = nest(
            [_grain_upright(part) for part in parts],
            sheet_mm=_stock(material),
            gap_mm=GAP_MM,
            margin_mm=MARGIN_MM,
            has_grain=[part.grain is not None for part in parts],
        )
        for number, sheet in enumerate(sheets, 1):
            path = f"sheets/{material}_{thickness:g}mm{f'_{number}' if len(sheets) > 1 else ''}.svg"
            yield _Laid(path, material, thickness, number, len(sheets), sheet, tuple(parts))


def _grain_upright(part: Part) -> Polygon | MultiPolygon:
    """The outline with its grain along the sheet's height, as the stock's grain runs."""
    outline = part.outline if part.grain != "width" else affinity.rotate(part.outline, 90, origin=(0, 0))
    x, y, _, _ = outline.bounds
    return affinity.translate(outline, -x, -y)


def _stock(material: str) -> tuple[float, float]:
    key = f"stock.{material}"
    known = set(trade.keys())
    size = trade.value(key if key in known else "stock.card").value
    return float(size[0]), float(size[1])


def _drawn(design: Design, laid: _Laid) -> DrawingBuilder:
    outlines = [placed.outline for placed in laid.sheet.parts]
    _, _, right, low = shapely.union_all(outlines).bounds
    bar = check_bar(design.units)
    width = max(right + MARGIN_MM, bar + 2 * MARGIN_MM) + _STRIP_MM
    notes = [in_units(note, design.units) for note in _notes(design, laid)]
    lines = [line for note in notes for line in wrapped(note, width - 2 * MARGIN_MM)]
    body = max(low + MARGIN_MM, bar + 2 * MARGIN_MM)
    height = body + _STRIP_MM + (len(lines) + 1) * NOTE_MM * _LINE_PITCH
    page = DrawingBuilder(width, height, notes[0])
    page.rectangle("print", 0, 0, width, height)
    for placed in laid.sheet.parts:
        _draw_part(page, laid, placed)
    _bars(page, body, design.units)
    for i, line in enumerate(lines, 1):
        page.text(line, (MARGIN_MM, body + _STRIP_MM + i * NOTE_MM * _LINE_PITCH), NOTE_MM)
    return page


def _notes(design: Design, laid: _Laid) -> Iterator[str]:
    sheet = laid.sheet
    of = f", sheet {laid.number} of {laid.of}" if laid.of > 1 else ""
    material = laid.material.replace("_", " ")
    file = design.reading.regions.sprite.file
    yield f"Cut sheet {material} {laid.thickness_mm:g} mm{of}: {file}, true size"
    stock = f"{sheet.width_mm:.0f} x {sheet.height_mm:.0f} mm"
    if sheet.is_oversize:
        usual = " x ".join(f"{v:.0f}" for v in _stock(laid.material))
        yield f"Larger than a usual {usual} mm sheet: ask for {stock}, or join two pieces under the covering"
    else:
        used = round(100 * sheet.utilisation)
        yield f"Stock {stock}, upper left corner shown, {used} % of it used; arrows show the grain"
    counts: dict[str, int] = {}
    for placed in sheet.parts:
        counts[laid.parts[placed.index].name] = counts.get(laid.parts[placed.index].name, 0) + 1
    for name, count in counts.items():
        part = next(part for part in laid.parts if part.name == name)
        w, h = part.size_mm
        yield f"{count} x {name.replace('_', ' ')}, {w:.1f} x {h:.1f} mm"
    yield "Wide line: cut. Narrow long-dashed line: mark only. Measure both bars before you cut."


def _draw_part(page: DrawingBuilder, laid: _Laid, placed: Placed) -> None:
    part = laid.parts[placed.index]
    page.polygon("cut", placed.outline)
    marks = [(name, _moved(shape, part, placed)) for name, shape in part.marks]
    for _, shape in marks:
        page.polygon("mark", shape)
    lines = [placed.outline.boundary, *(shape.boundary for _, shape in marks)]
    taken: list[BaseGeometry] = []
    if part.grain is not None:
        taken += _grain_arrow(page, placed.outline, lines)
    for name, shape in marks:
        # A line around other marks, such as the turn-in's, has no ground that is its alone.
        if not any(other.area < shape.area and shape.covers(other) for _, other in marks):
            taken += _label(page, name.replace("_", " "), shape, lines, taken, heights=(NOTE_MM, 1.8))
    own = _own_ground(placed.outline, [shape for _, shape in marks])
    _label(page, part.name.replace("_", " "), own, lines, taken)


def _own_ground(
    shape: Polygon | MultiPolygon, others: Sequence[Polygon | MultiPolygon]
) -> Polygon | MultiPolygon:
    """What of a shape lies in no smaller one: there a name can mean nothing else."""
    smaller = [other for other in others if other.area < shape.area]
    return shape.difference(shapely.union_all(smaller)) if smaller else shape


def _moved(shape: Polygon | MultiPolygon, part: Part, placed: Placed) -> Polygon | MultiPolygon:
    """A mark goes wherever its part went."""
    both = [part.outline, shape]
    if part.grain == "width":
        both = [affinity.rotate(s, 90, origin=(0, 0)) for s in both]
    x, y, _, _ = both[0].bounds
    both = [affinity.rotate(affinity.translate(s, -x, -y), -placed.turn_deg, origin=(0, 0)) for s in both]
    x, y, _, _ = both[0].bounds
    return affinity.translate(both[1], placed.x - x, placed.y - y)


def _grain_arrow(
    page: DrawingBuilder, outline: Polygon | MultiPolygon, lines: Sequence[BaseGeometry]
) -> list[BaseGeometry]:
    """A double-headed arrow along the height, near the part's left side."""
    x0, y0, x1, y1 = outline.bounds
    length = min(_ARROW_MM, (y1 - y0) / 3)
    for room in _rooms(outline, lines, [], 3.0, length, towards=(x0 + (x1 - x0) / 5, (y0 + y1) / 2)):
        x, top = (room.bounds[0] + room.bounds[2]) / 2, room.bounds[1]
        head = min(3.0, length / 3)
        page.line("dimension", (x, top), (x, top + length))
        page.arrowhead((x, top), (0, -1), head)
        page.arrowhead((x, top + length), (0, 1), head)
        return [room]
    return []


def _label(
    page: DrawingBuilder,
    value: str,
    outline: Polygon | MultiPolygon,
    lines: Sequence[BaseGeometry],
    taken: Sequence[BaseGeometry],
    *,
    heights: Iterable[float] = (5.0, NAME_MM, NOTE_MM, 1.8),
) -> list[BaseGeometry]:
    """Set a name on free ground inside an outline, as large as fits; level first, then upward."""
    centre = outline.representative_point()
    for height in heights:
        long, short = text_width_mm(value, height), height * 1.5
        for is_upward, (w, h) in ((False, (long, short)), (True, (short, long))):
            for room in _rooms(outline, lines, taken, w, h, towards=(centre.x, centre.y)):
                x0, y0, x1, y1 = room.bounds
                middle = ((x0 + x1) / 2, (y0 + y1) / 2)
                foot = short * _FOOT
                at = (x1 - foot, middle[1]) if is_upward else (middle[0], y1 - foot)
                text = page.text(value, at, height, "middle", is_upward=is_upward)
                return [text.box.union(room)]
    return []


def _rooms(
    outline: Polygon | MultiPolygon,
    lines: Sequence[BaseGeometry],
    taken: Sequence[BaseGeometry],
    width: float,
    height: float,
    *,
    towards: tuple[float, float],
) -> Iterator[Polygon]:
    """Free upright rectangles inside an outline, nearest to `towards` first."""
    x0, y0, x1, y1 = outline.bounds
    if x1 - x0 < width or y1 - y0 < height:
        return
    across, down = np.meshgrid(
        np.linspace(x0, x1 - width, _CANDIDATES), np.linspace(y0, y1 - height, _CANDIDATES)
    )
    x, y = across.ravel(), down.ravel()
    away = np.hypot(x + width / 2 - towards[0], y + height / 2 - towards[1])
    rooms = shapely.box(x - _CLEAR_MM, y - _CLEAR_MM, x + width + _CLEAR_MM, y + height + _CLEAR_MM)
    obstacle = shapely.union_all([*lines, *taken])
    shapely.prepare(obstacle)
    shapely.prepare(outline)
    free = shapely.contains(outline, rooms) & ~shapely.intersects(obstacle, rooms)
    for i in np.lexsort((x, y, np.round(away, 6))):
        if free[i]:
            yield box(x[i], y[i], x[i] + width, y[i] + height)


def _bars(page: DrawingBuilder, body: float, units: str) -> None:
    """A known length across the foot and up the right side, with ticks."""
    tick, y = 1.5, body + _STRIP_MM / 3
    bar, words = check_bar(units), check_bar_words(units)
    page.line("print", (MARGIN_MM, y), (MARGIN_MM + bar, y))
    for x in (MARGIN_MM, MARGIN_MM + bar):
        page.line("print", (x, y - tick), (x, y + tick))
    page.text(words, (MARGIN_MM + bar / 2, y - 1), NOTE_MM, "middle")
    x = page.width_mm - _STRIP_MM / 3
    page.line("print", (x, MARGIN_MM), (x, MARGIN_MM + bar))
    for end in (MARGIN_MM, MARGIN_MM + bar):
        page.line("print", (x - tick, end), (x + tick, end))
    page.text(words, (x - 1, MARGIN_MM + bar / 2), NOTE_MM, "middle", is_upward=True)
