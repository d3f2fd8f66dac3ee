"""Jigs at true size: where the folds are pierced for the thread."""

from __future__ import annotations

from collections.abc import Sequence

from pixel2make import trade
from pixel2make.design.model import Design, Hole, Template
from pixel2make.pack.bars import check_bar, check_bar_words
from pixel2make.pack.pens import Drawing, DrawingBuilder, RecordingPen, draw_circle, text_width_mm
from pixel2make.quantity import format_length, in_units

__all__ = ["sewing_files", "template_drawing", "template_path"]

MARGIN_MM = trade.value("cutting.register_inset").number
NOTE_MM: float = trade.value("drawing.lettering").value["note"]

_PITCH_MM = 1.9 * NOTE_MM
"""Baselines apart: ISO 3098, type B with accents."""

_LEADER_MM = 10.0
"""From the strip's edge to the lettering: room for slanting leaders where holes lie close together."""

_CROSS_MM = 2.0
"""Half a cross over each hole, to be found again once it is pierced."""

_TICK_MM = 1.5


def template_path(template: Template) -> str:
    """Path in a pack.

    >>> from shapely.geometry import box
    >>> template_path(Template("sewing", box(0, 0, 60, 294), ()))
    'sewing/template'
    """
    return f"{template.name}/template"


def sewing_files(design: Design) -> dict[str, Drawing]:
    """Every jig of a design by path, at true size."""
    return {template_path(t): template_drawing(t, design.units) for t in design.templates}


def template_drawing(template: Template, units: str = "mm") -> Drawing:
    """One jig with its holes, what lies across them, distances from the upper end, and a bar to measure.

    Parameters
    ----------
    template : Template
    units : {"mm", "in"}
        In which lengths are written.

    Returns
    -------
    Drawing
        The strip's upper left corner is at (margin, margin) of the page; one unit is a millimetre.
    """
    x0, y0, x1, y1 = template.outline.bounds
    notes = [
        f"{template.name.capitalize()} template, true size",
        *(in_units(note, units) for note in template.notes),
    ]
    notes += [in_units(line, units) for line in _advice(template)]
    bar = check_bar(units)
    labels = [_label(template, hole, units) for hole in template.holes]
    # The last label may be pushed down below the strip by those above it.
    rows = _spread([MARGIN_MM + hole.y_mm for hole in template.holes])
    foot = max(MARGIN_MM + y1 - y0, rows[-1] if rows else 0.0, MARGIN_MM + bar) + MARGIN_MM
    width = 2 * MARGIN_MM + max(
        x1 - x0 + _LEADER_MM + max((text_width_mm(label, NOTE_MM) for label in labels), default=0.0),
        bar,
        *(text_width_mm(note, NOTE_MM) for note in notes),
    )
    height = foot + MARGIN_MM + (len(notes) + 1) * _PITCH_MM
    page = DrawingBuilder(width, height, notes[0])
    page.rectangle("print", 0, 0, width, height)
    _strip(page, template)
    for hole, label, row in zip(template.holes, labels, rows, strict=True):
        _hole(page, template, hole, label, row)
    _bar(page, foot, units)
    for i, note in enumerate(notes, 1):
        page.text(note, (MARGIN_MM, foot + MARGIN_MM / 2 + i * _PITCH_MM), NOTE_MM)
    return page.build()


def _advice(template: Template) -> list[str]:
    _, y0, _, y1 = template.outline.bounds
    size = f"{y1 - y0:.1f} mm from {template.upper_end} to {template.lower_end}"
    if template.fold_mm is None:
        return [size]
    return [f"{size}; cut out, fold along the dashes, lay it into the fold and pierce"]


def _label(template: Template, hole: Hole, units: str) -> str:
    away = f" from the {template.upper_end}" if template.upper_end else ""
    return f"{hole.name}: {format_length(hole.y_mm, units)}{away}"


def _spread(rows: Sequence[float]) -> list[float]:
    """The same heights, each at least one line of lettering below the one before.

    >>> _spread([10.0, 11.0, 40.0])
    [10.0, 14.75, 40.0]
    """
    found: list[float] = []
    for row in rows:
        found.append(max(row, found[-1] + _PITCH_MM) if found else row)
    return found


def _strip(page: DrawingBuilder, template: Template) -> None:
    """Outline, fold, and what lies across."""
    from shapely.affinity import translate

    x0, y0, x1, y1 = template.outline.bounds
    page.polygon("cut", translate(template.outline, MARGIN_MM, MARGIN_MM))
    if template.fold_mm is not None:
        x = MARGIN_MM + template.fold_mm
        page.line("score", (x, MARGIN_MM + y0), (x, MARGIN_MM + y1))
    for name, upper, lower in template.bands:
        for y in (upper, lower):
            page.line("mark", (MARGIN_MM + x0, MARGIN_MM + y), (MARGIN_MM + x1, MARGIN_MM + y))
        page.text(name, (MARGIN_MM + x0 + _TICK_MM, MARGIN_MM + upper - _TICK_MM), NOTE_MM)
    for name, baseline in (
        (template.upper_end, MARGIN_MM + y0 - _TICK_MM),
        (template.lower_end, MARGIN_MM + y1 + NOTE_MM + _TICK_MM),
    ):
        page.text(name, (MARGIN_MM + (x0 + x1) / 2, baseline), NOTE_MM, "middle")


def _hole(page: DrawingBuilder, template: Template, hole: Hole, label: str, row: float) -> None:
    x, y = MARGIN_MM + hole.x_mm, MARGIN_MM + hole.y_mm
    pen = RecordingPen()
    draw_circle((x, y), hole.diameter_mm / 2, pen)
    page.add("engrave", pen)
    page.line("print", (x - _CROSS_MM, y), (x + _CROSS_MM, y))
    edge = MARGIN_MM + template.outline.bounds[2]
    page.line("leader", (x + _CROSS_MM, y), (edge, y), (edge + _LEADER_MM - 1, row))
    page.text(label, (edge + _LEADER_MM, row + NOTE_MM / 2), NOTE_MM)


def _bar(page: DrawingBuilder, y: float, units: str) -> None:
    """A length that a ruler checks before anything is pierced."""
    bar = check_bar(units)
    page.line("print", (MARGIN_MM, y), (MARGIN_MM + bar, y))
    for x in (MARGIN_MM, MARGIN_MM + bar):
        page.line("print", (x, y - _TICK_MM), (x, y + _TICK_MM))
    page.text(check_bar_words(units), (MARGIN_MM + bar / 2, y - 1), NOTE_MM, "middle")
