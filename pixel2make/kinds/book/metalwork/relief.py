"""Relief cuts: where a bend ends beside metal that stays flat, a notch keeps the sheet from tearing."""

from __future__ import annotations

from collections.abc import Iterable

from shapely import Polygon
from shapely.geometry import box

from pixel2make import trade
from pixel2make.kinds.book.metalwork.place import Gauge

__all__ = ["relief_mm", "relieved"]

_PAST_MM = 0.5
"""A notch is cut open by so much, so that no sliver stays in its mouth."""


def relief_mm(sheet_mm: float, radius_mm: float) -> tuple[float, float]:
    """Least width of a relief cut, and its depth from where the bend begins."""
    wide, deep = trade.value("metal.relief").numbers
    return wide * sheet_mm, deep * (sheet_mm + radius_mm)


def relieved(
    outline: Polygon, fold_u_mm: float, ends: Iterable[tuple[float, int]], gauge: Gauge, radius_mm: float
) -> Polygon:
    """The plate with a notch at each end of a bend along v, where flat metal lies beside it.

    Parameters
    ----------
    outline : Polygon
        (u, v); the bend leaves it in the direction of u.
    fold_u_mm : float
        Where the bend begins.
    ends : iterable of (v, side)
        Ends of the bend, side 1 where its neighbour lies above, -1 below.
    gauge : Gauge
    radius_mm : float
        Inside, of the bend.
    """
    wide, deep = relief_mm(gauge.sheet_mm, radius_mm)
    for v, side in ends:
        low, high = sorted((v, v + side * wide))
        beside = box(fold_u_mm - wide, low, fold_u_mm + _PAST_MM, high)
        if outline.intersection(beside).area < 1e-6:
            continue  # the metal beside it ends far enough behind
        notch = box(fold_u_mm - deep, low, fold_u_mm + _PAST_MM, high)
        rest = outline.difference(notch)
        parts = [part for part in getattr(rest, "geoms", [rest]) if isinstance(part, Polygon)]
        outline = max(parts, key=lambda part: part.area)
    return outline
