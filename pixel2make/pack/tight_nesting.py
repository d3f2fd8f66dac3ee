"""Fewer sheets by a library that packs irregular outlines closely; it comes with the extra ``nest``.

The library fills one strip of fixed height and works against the clock, so that its layouts differ from run
to run; it knows no sheets and puts nothing into holes. So sheets are filled one by one, largest parts first,
every layout is measured before it is believed, and only fewer sheets than the plain layout's are taken.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from shapely import STRtree, affinity
from shapely.geometry import Polygon, box

from pixel2make.errors import DesignError
from pixel2make.pack.nesting import TURNS_FREE, TURNS_WITH_GRAIN, Outline, Placed, Sheet, nest

__all__ = ["nest_tightly"]

_SECONDS = 2
"""Time for one sheet; the library takes whole seconds and gains little after the first."""
_DENSEST = 0.8
"""Share of a sheet beyond which irregular parts are not even tried."""
_ABOVE_NEED = (0.04, 0.02, 0.0)
"""How much more of a sheet is tried than it has to hold for one sheet to be saved, fullest first."""
_SEED = 1
_SLACK_MM = 1e-3
"""The library reckons with single precision; what is off by less is no fault on a bench."""


def nest_tightly(
    outlines: Sequence[Outline],
    *,
    sheet_mm: tuple[float, float],
    gap_mm: float,
    margin_mm: float,
    has_grain: Sequence[bool],
) -> tuple[Sheet, ...]:
    """Lay outlines on fewer sheets than `pixel2make.pack.nesting.nest` does, where that can be done.

    Parameters and result are those of `nest`; the layout may differ from run to run.

    Raises
    ------
    DesignError
        The library is not installed.
    """
    packer = _packer()
    plain = nest(outlines, sheet_mm=sheet_mm, gap_mm=gap_mm, margin_mm=margin_mm, has_grain=has_grain)
    own = [sheet for sheet in plain if sheet.is_oversize]
    usual = [sheet for sheet in plain if not sheet.is_oversize]
    rest = sorted(
        (placed.index for sheet in usual for placed in sheet.parts), key=lambda i: (-outlines[i].area, i)
    )
    room = (sheet_mm[0] - 2 * margin_mm, sheet_mm[1] - 2 * margin_mm)
    filled: list[Sheet] = []
    for left in range(len(usual) - 1, 0, -1):
        need = sum(outlines[i].area for i in rest) / (left * room[0] * room[1])
        placed = _filled(packer, rest, need, outlines, has_grain, room, gap_mm)
        if placed is None:
            return plain
        filled.append(Sheet(*sheet_mm, tuple(_moved(part, margin_mm) for part in placed)))
        rest = [i for i in rest if i not in {part.index for part in placed}]
        if not rest:
            return (*filled, *own)
    return plain


def _packer() -> Any:
    try:
        import spyrrow
    except ModuleNotFoundError:
        raise DesignError(
            "tight nesting needs a package that is not installed; "
            'install it by pip install "pixel2make[nest]", or choose nesting plain'
        ) from None
    return spyrrow


def _filled(
    packer: Any,
    rest: Sequence[int],
    need: float,
    outlines: Sequence[Outline],
    has_grain: Sequence[bool],
    room: tuple[float, float],
    gap: float,
) -> tuple[Placed, ...] | None:
    """Parts of one sheet, largest first, placed within its margins; None where no try held."""
    for more in _ABOVE_NEED:
        if need + more > _DENSEST:
            continue
        chosen: list[int] = []
        free = (need + more) * room[0] * room[1]
        for index in rest:
            if outlines[index].area <= free:
                chosen.append(index)
                free -= outlines[index].area
        placed = tuple(_packed(packer, chosen, outlines, has_grain, room, gap)) if chosen else ()
        if placed and _holds(placed, room, gap):
            return placed
    return None


def _packed(
    packer: Any,
    chosen: Sequence[int],
    outlines: Sequence[Outline],
    has_grain: Sequence[bool],
    room: tuple[float, float],
    gap: float,
) -> Iterator[Placed]:
    """What the library makes of parts that each fit the sheet by themselves."""
    items = [
        packer.Item(
            str(index),
            [(float(x), float(y)) for x, y in _rim(outlines[index]).exterior.coords],
            1,
            [float(turn) for turn in (TURNS_WITH_GRAIN if has_grain[index] else TURNS_FREE)],
        )
        for index in chosen
    ]
    setting = packer.StripPackingConfig(
        total_computation_time=_SECONDS, min_items_separation=gap, num_workers=1, seed=_SEED
    )
    # The library keeps its gap from the strip's edges as well; the margins are there already.
    try:
        strip = packer.StripPackingInstance("sheet", room[1] + 2 * gap, items)
        solved = strip.solve(setting)
    except BaseException as error:
        # A panic of the library is no Exception; everything else is not ours to hold back.
        if type(error).__name__ != "PanicException" and not isinstance(error, ValueError):
            raise
        return
    for item in solved.placed_items:
        index, turn = int(item.id), round(item.rotation) % 360
        turned = affinity.rotate(outlines[index], item.rotation, origin=(0, 0))
        moved = affinity.translate(turned, item.translation[0] - gap, item.translation[1] - gap)
        x, y, _, _ = moved.bounds
        # A turn is told as it is seen, with y down.
        yield Placed(index, -turn % 360, x, y, moved)


def _rim(outline: Outline) -> Polygon:
    """The outer line of a part; several pieces that belong together keep their hull."""
    return outline if isinstance(outline, Polygon) else outline.convex_hull


def _holds(placed: Sequence[Placed], room: tuple[float, float], gap: float) -> bool:
    """Whether all parts lie within the room and keep their distance; measured, not believed."""
    inside = box(0, 0, *room).buffer(_SLACK_MM)
    shapes = [part.outline for part in placed]
    near = STRtree(shapes).query(shapes, predicate="dwithin", distance=gap - _SLACK_MM)
    return all(inside.contains(shape) for shape in shapes) and bool((near[0] == near[1]).all())


def _moved(part: Placed, margin: float) -> Placed:
    outline = affinity.translate(part.outline, margin, margin)
    return Placed(part.index, part.turn_deg, part.x + margin, part.y + margin, outline)
