"""DXF R2010 in millimetres: one layer a purpose, y up, curves as chords.

Layers carry the names, weights and dash patterns of `LINES`, so that a machine's driver can pick
purposes and a black-and-white plot still tells them apart. Rings are closed lightweight polylines.
Nothing in the file depends on the day or the machine.
"""

from __future__ import annotations

import io
import math
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from pixel2make.pack.pens.lines import LINES, LineStyle
from pixel2make.pack.pens.pen import Command, Point
from pixel2make.pack.pens.shapes import Drawing, Path, Text

__all__ = ["LETTERING_LAYER", "dxf_bytes"]

LETTERING_LAYER = "lettering"
CHORD_MM = 0.01
"""How far a chord may leave its curve: a tenth of what a good cutter repeats."""

_DXF_VERSION = "R2010"
_SAME = 1e-9
"""Points closer than this are one; a polyline with a doubled point confuses cutters."""

_LOCK = threading.Lock()


def dxf_bytes(drawing: Drawing) -> bytes:
    """A drawing as a DXF file; tints are left out, as no tool follows them.

    Returns
    -------
    bytes
        R2010 text, ``$INSUNITS`` 4 (millimetres), lower left corner of the page at (0, 0).
    """
    from ezdxf import units
    from ezdxf.enums import TextEntityAlignment as Align
    from ezdxf.filemanagement import new

    with _fixed_meta_data():
        document = new(_DXF_VERSION, units=units.MM)
        document.header["$MEASUREMENT"] = 1
        document.header["$LIMMIN"] = (0.0, 0.0)
        document.header["$LIMMAX"] = (drawing.width_mm, drawing.height_mm)
        space = document.modelspace()
        for style in LINES.values():
            paths = [path for path in drawing.paths if path.purpose == style.name]
            if paths:
                _add_layer(document, style)
            for path in paths:
                _add_path(space, path, drawing.height_mm)
        if drawing.texts:
            document.layers.add(LETTERING_LAYER, true_color=_rgb(drawing.texts[0].color))
        anchors = {"start": Align.LEFT, "middle": Align.CENTER, "end": Align.RIGHT}
        for text in drawing.texts:
            _add_text(space, text, drawing.height_mm, anchors[text.anchor])
        # the library walks a set here, whose order changes from run to run
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        stream = io.StringIO()
        document.write(stream)
    return stream.getvalue().encode("utf-8")


@contextmanager
def _fixed_meta_data() -> Iterator[None]:
    """The library stamps time and random marks into files; both off while ours is written."""
    from ezdxf._options import options

    with _LOCK:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = before


def _rgb(color: str) -> int:
    return int(color.removeprefix("#"), 16)


def _add_layer(document: Any, style: LineStyle) -> None:
    linetype = "Continuous"
    if style.dashes:
        linetype = f"{style.name}_line"
        dashes = [d if i % 2 == 0 else -d for i, d in enumerate(style.dashes_mm)]
        document.linetypes.add(linetype, [sum(style.dashes_mm), *dashes], description=style.meaning)
    document.layers.add(
        style.name,
        linetype=linetype,
        true_color=_rgb(style.color),
        lineweight=round(style.width_mm * 100),
    ).description = style.meaning


def _add_path(space: Any, path: Path, height: float) -> None:
    layer = {"layer": path.purpose}
    rings = list(contours_within(path.commands, CHORD_MM))
    if path.is_solid:
        hatch = space.add_hatch(dxfattribs=layer)
        hatch.dxf.color = 256
        for points, _ in rings:
            hatch.paths.add_polyline_path([(x, height - y) for x, y in points], is_closed=True)
        return
    for points, is_closed in rings:
        space.add_lwpolyline([(x, height - y) for x, y in points], close=is_closed, dxfattribs=layer)


def _add_text(space: Any, text: Text, height: float, align: Any) -> None:
    x, y = text.at
    entity = space.add_text(
        text.value,
        height=text.height_mm,
        rotation=90.0 if text.is_upward else 0.0,
        dxfattribs={"layer": LETTERING_LAYER, "true_color": _rgb(text.color)},
    )
    entity.set_placement((x, height - y), align=align)


def contours_within(commands: Sequence[Command], chord_mm: float) -> Iterator[tuple[list[Point], bool]]:
    """Points of each contour with curves as chords that leave them by at most `chord_mm`.

    Yields
    ------
    (points, is_closed)
        A closed contour does not repeat its first point; contours of a single point are left out.
    """
    points: list[Point] = []
    for name, args in commands:
        if name == "move_to":
            points = [args[0]]
        elif name == "line_to":
            _append(points, args[0])
        elif name == "curve_to":
            for point in _chords(points[-1], args[0], args[1], args[2], chord_mm):
                _append(points, point)
        else:
            is_closed = name == "close"
            if is_closed and len(points) > 1 and math.dist(points[0], points[-1]) < _SAME:
                points.pop()
            if len(points) > 1:
                yield points, is_closed
            points = []


def _append(points: list[Point], point: Point) -> None:
    if math.dist(points[-1], point) >= _SAME:
        points.append(point)


def _chords(p0: Point, p1: Point, p2: Point, p3: Point, chord_mm: float) -> Iterator[Point]:
    """Ends of equal steps along a cubic; by its second differences n steps leave it by d / (8 n^2) * 6."""
    second = max(
        math.hypot(p0[0] - 2 * p1[0] + p2[0], p0[1] - 2 * p1[1] + p2[1]),
        math.hypot(p1[0] - 2 * p2[0] + p3[0], p1[1] - 2 * p2[1] + p3[1]),
    )
    steps = max(1, math.ceil(math.sqrt(0.75 * second / chord_mm)))
    for i in range(1, steps + 1):
        t = i / steps
        s = 1 - t
        a, b, c, d = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        yield (
            a * p0[0] + b * p1[0] + c * p2[0] + d * p3[0],
            a * p0[1] + b * p1[1] + c * p2[1] + d * p3[1],
        )
