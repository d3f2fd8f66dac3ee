"""Cut sheets: the parts of one material and thickness, laid on stock at true size."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.design.cutting import cutting_of
from pixel2make.design.model import Design
from pixel2make.pack.bars import check_bar, check_bar_words
from pixel2make.pack.face_page import wrapped
from pixel2make.pack.nesting import Placed
from pixel2make.pack.pens import Drawing, DrawingBuilder, text_width_mm
from pixel2make.pack.sheet_plan import MARGIN_MM, CutSheet, cut_plan, on_sheet
from pixel2make.pack.sheet_plan import sheet_paths as _paths
from pixel2make.quantity import in_units

__all__ = ["cut_sheets", "sheet_paths"]

NOTE_MM: float = trade.value("drawing.lettering").value["note"]
NAME_MM: float = trade.value("drawing.lettering").value["dimension"]

_LINE_PITCH = 1.9
"""Baselines apart, in lettering heights: ISO 3098, type B with accents."""

_CLEAR_MM = 1.0
"""Least distance of lettering from a line."""

_SAME_MM = 0.02
"""Lines nearer than this are one line on paper."""

_FOOT = 0.27
"""Where the baseline lies above a line's foot, in line heights: room for descenders."""

_ARROW_MM = 14.0
"""Length of a grain arrow; on small parts a third of the part."""

_CANDIDATES = 24
"""Places tried along each side of a part for its name."""

_STRIP_MM = 12.0
"""Room for the upright bar beside the parts, and for the level one below them."""


def cut_sheets(design: Design) -> dict[str, Drawing]:
    """Cut sheets by path, at true size.

    Parameters
    ----------
    design : Design

    Returns
    -------
    dict of str to Drawing
        ``sheets/<material>_<thickness>mm``, numbered where a material takes several sheets. The
        page shows the used part of the stock, from its upper left corner.
    """
    return {laid.path: _drawn(design, laid).build() for laid in cut_plan(design)}


def sheet_paths(design: Design) -> dict[str, tuple[str, ...]]:
    """Paths by part name, as `cut_sheets` writes them."""
    return {name: tuple(paths) for name, paths in _paths(design).items()}


_MARK_WORDS = {
    "full_thickness": "Full thickness: inside this line the leather stays as thick as it is. Pare it outside "
    "of the line, thinner towards the edges that are turned in, and in the strips that bend at the joints.",
}
"""What a marked line asks for, where its name does not say it."""


def _drawn(design: Design, laid: CutSheet) -> DrawingBuilder:
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


def _notes(design: Design, laid: CutSheet) -> Iterator[str]:
    sheet = laid.sheet
    of = f", sheet {laid.number} of {laid.of}" if laid.of > 1 else ""
    material = laid.material.replace("_", " ")
    file = design.reading.regions.sprite.file
    yield f"Cut sheet {material} {laid.thickness_mm:g} mm{of}: {file}, true size"
    stock = f"{sheet.width_mm:.0f} x {sheet.height_mm:.0f} mm"
    whose = "Your stock" if laid.is_makers else "Stock"
    if sheet.is_oversize:
        usual = " x ".join(f"{v:.0f}" for v in cutting_of(design.taken).stock_mm(laid.material))
        yield f"Larger than a usual {usual} mm sheet, not joined: ask for {stock} or choose a smaller size"
    else:
        used = f"{100 * sheet.utilisation:.0f} % of it used"
        grain = "; arrows show the grain, which runs along its height" if _has_grain(laid) else ""
        yield f"{whose} {stock}, upper left corner shown, {used}{grain}"
    yield _cut_words(laid)
    yield from _cautions(laid)
    counts = Counter(laid.pieces[placed.index].part.name for placed in sheet.parts)
    by_name = {piece.part.name: piece for piece in laid.pieces}
    for name, count in counts.items():
        w, h = by_name[name].part.size_mm
        yield f"{count} x {name.replace('_', ' ')}, {w:.1f} x {h:.1f} mm"
    for joint in dict.fromkeys(by_name[name].joint for name in counts if by_name[name].joint):
        yield f"Pieces are joined by a {joint}."
    marked = {mark for name in counts for mark, _ in by_name[name].part.marks}
    yield from (words for mark, words in _MARK_WORDS.items() if mark in marked)
    yield "Wide line: cut. Narrow long-dashed line: mark only. Measure both bars before you cut."


def _cut_words(laid: CutSheet) -> str:
    tool = laid.process.replace("_", " ")
    if not laid.kerf_mm:
        along = "along" if laid.process == "knife" else "on the waste side of"
        return f"Cut with a {tool}, {along} the line; sizes are those of the finished parts."
    return (
        f"Cut with a {tool}, the middle of the cut on the line: lines lie half the kerf, "
        f"{laid.kerf_mm / 2:.3g} mm, outside the part and inside its holes, so that the part measures true."
    )


def _cautions(laid: CutSheet) -> Iterator[str]:
    """What hurts when these sheets are cut with this tool."""
    if laid.process == "laser":
        yield str(trade.value("safety.laser").value)
        if laid.material == "leather":
            yield str(trade.value("safety.laser_leather").value)
        if laid.material in ("leather", "cloth"):
            yield str(trade.value("safety.laser_vinyl").value)
    elif laid.process != "knife":
        yield str(trade.value("safety.sawing").value)


_MOST_WITHIN = 0.5
"""Of a mark's area that other marks may take, as bands do on a spine, and it still has a name of its own."""


def _has_grain(laid: CutSheet) -> bool:
    return any(laid.pieces[placed.index].part.grain for placed in laid.sheet.parts)


def _draw_marks(page: DrawingBuilder, outline: BaseGeometry, marks: Sequence[BaseGeometry]) -> None:
    """Each mark, but every stretch once: dashes upon dashes, or upon a cut, print as another line."""
    drawn = outline.boundary
    for shape in marks:
        edge = shape.boundary
        fresh = edge.difference(drawn.buffer(_SAME_MM))
        if fresh.length >= edge.length - _SAME_MM:
            page.polygon("mark", shape)
        else:
            for line in shapely.get_parts(shapely.line_merge(fresh)):
                if line.length > _SAME_MM:
                    page.line("mark", *((float(x), float(y)) for x, y in line.coords))
        drawn = shapely.union(drawn, edge)


def _draw_part(page: DrawingBuilder, laid: CutSheet, placed: Placed) -> None:
    piece = laid.pieces[placed.index]
    part = piece.part
    page.polygon("cut", placed.outline)
    marks = [(name, on_sheet(shape, piece, placed, laid.kerf_mm)) for name, shape in part.marks]
    _draw_marks(page, placed.outline, [shape for _, shape in marks])
    lines = [placed.outline.boundary, *(shape.boundary for _, shape in marks)]
    taken: list[BaseGeometry] = []
    if part.grain is not None:
        taken += _grain_arrow(page, placed.outline, lines)
    for name, shape in marks:
        # A line around other marks, such as the turn-in's, has no ground that is its alone.
        within = sum(other.area for _, other in marks if other.area < shape.area and shape.covers(other))
        if within <= _MOST_WITHIN * shape.area:
            taken += _label(page, name.replace("_", " "), shape, lines, taken, heights=(NOTE_MM, 1.8))
    own = _own_ground(placed.outline, [shape for _, shape in marks])
    name = part.name.replace("_", " ")
    if not _label(page, name, own, lines, taken):
        # Where marks leave no ground of the part's own, its name stands among theirs.
        _label(page, name, placed.outline, lines, taken)


def _own_ground(
    shape: Polygon | MultiPolygon, others: Sequence[Polygon | MultiPolygon]
) -> Polygon | MultiPolygon:
    """What of a shape lies in no smaller one: there a name can mean nothing else."""
    smaller = [other for other in others if other.area < shape.area]
    return shape.difference(shapely.union_all(smaller)) if smaller else shape


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
