"""What a tool meets in lettering: thinnest strokes, islands that fall out.

Strokes are measured by erosion. An area eroded by half a width and grown again by as much keeps all that a
disc of that width can enter. What is lost are corners and tips, which any round tool leaves blunt, and
strokes too thin for it; a stroke is lost where the rest falls apart or where the loss reaches far.
"""

from __future__ import annotations

from functools import cache

from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from pixel2make.errors import DesignError
from pixel2make.lettering.model import Face, Lettering

__all__ = ["islands", "require_stencil", "thinnest_stroke"]

REACH_SHARE = 0.125
"""A loss that reaches further than this share of a capital from what is kept is a stroke, a shorter one the
tip of a serif or a corner: serifs reach about as far from their stem."""
LEAST_SHARE, MOST_SHARE = 0.005, 0.6
"""Widths tried, as shares of a capital: thinner than any cut face draws, and thicker than a heavy stem."""
RATIO = 1.02
"""The thinnest stroke is known to 2 %, on the safe side."""
QUARTER_CHORDS = 8
"""Chords a quarter of a disc: they cut off 0.5 % of its radius."""


def thinnest_width(area: BaseGeometry, capital: float) -> float | None:
    """Width of the thinnest stroke of an area; None where none is thinner than 0.6 of a capital.

    Parameters
    ----------
    area : Polygon or MultiPolygon
    capital : float
        Height of a capital, in the same units.

    Returns
    -------
    float or None
        The largest width tried whose disc still enters every stroke: at most the true width, and no
        more than 2 % below it.

    Examples
    --------
    >>> from shapely.geometry import box
    >>> corner = box(0, 0, 100, 8).union(box(0, 0, 30, 60))
    >>> 7.8 < thinnest_width(corner, 60) <= 8
    True
    """
    low, high = LEAST_SHARE * capital, MOST_SHARE * capital
    if not _loses_stroke(area, high, REACH_SHARE * capital):
        return None
    # What a disc cannot enter a larger one cannot either, so that the limit can be halved in on.
    while high > RATIO * low:
        middle = (low * high) ** 0.5
        if _loses_stroke(area, middle, REACH_SHARE * capital):
            high = middle
        else:
            low = middle
    return low


def _loses_stroke(area: BaseGeometry, width: float, reach: float) -> bool:
    kept = area.buffer(-width / 2, quad_segs=QUARTER_CHORDS).buffer(width / 2, quad_segs=QUARTER_CHORDS)
    if _make_up(kept) != _make_up(area):
        return True
    lost = area.difference(kept.buffer(reach, quad_segs=QUARTER_CHORDS))
    return not lost.is_empty


def _make_up(area: BaseGeometry) -> tuple[int, int]:
    """Number of parts and of holes."""
    parts = [part for part in getattr(area, "geoms", [area]) if not part.is_empty]
    return len(parts), sum(len(part.interiors) for part in parts)


@cache
def thinnest_stroke(face: Face, char: str) -> float | None:
    """Thinnest stroke of a character in capital heights; None for a space and in a single-stroke face."""
    glyph = face.glyphs[char]
    if face.is_stroke or glyph.shape.is_empty:
        return None
    found = thinnest_width(glyph.shape, face.capital_height)
    return None if found is None else found / face.capital_height


def islands(lettering: Lettering) -> tuple[Polygon, ...]:
    """Pieces of sheet that fall out when the lettering is cut, in reading order of their upper left corner.

    They are the holes of the joined outline, so that a ring of several letters counts too. Lines of a
    single-stroke face cut no opening.
    """
    outline = lettering.outline
    if not isinstance(outline, Polygon | MultiPolygon):
        return ()
    parts = outline.geoms if isinstance(outline, MultiPolygon) else [outline]
    holes = [Polygon(ring) for part in parts for ring in part.interiors]
    return tuple(sorted(holes, key=lambda hole: (hole.bounds[1], hole.bounds[0])))


def require_stencil(lettering: Lettering) -> None:
    """Make sure that nothing falls out.

    Raises
    ------
    DesignError
        Naming the characters with islands, or a face of lines, which has no openings.
    """
    if lettering.face.is_stroke:
        raise DesignError("single strokes are no openings; take the face stencil for a stencil")
    fallen = islands(lettering)
    if fallen:
        chars = dict.fromkeys(g.char for g in lettering if any(g.shape.intersects(hole) for hole in fallen))
        raise DesignError(
            f"{len(fallen)} islands would fall out of the stencil (in {' '.join(chars)}); "
            "take the face stencil"
        )
