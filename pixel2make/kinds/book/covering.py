"""How the covering is put together: one piece, or spine, sides and perhaps corners of their own."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.design.kind import ChoiceKey, Lengths
from pixel2make.design.model import Part
from pixel2make.kinds.book.areas import main_region, metal_of
from pixel2make.kinds.book.boards import covering_marks, covering_outline
from pixel2make.reading.model import Feature, Reading
from pixel2make.regions.model import Region

__all__ = ["COVERED", "covered_key", "covering_parts", "drawn_covering", "unpared"]

COVERED = ("whole", "quarter", "half")

_OTHER_COLOUR = 17.0
"""Distance in the a, b plane of CIELAB from which spine and cover are of two materials, the lighter one
darkened to the other's lightness first: a face in shade loses chroma with its lightness, and drawn shades
turn a little towards blue, which stays below this."""


def covered_key(reading: Reading) -> ChoiceKey:
    """One piece, or a spine (and corners) of another material, as the drawing shows."""
    return ChoiceKey(
        "covered",
        "Is the book covered in one piece, or are the spine (quarter) and the corners too (half) of leather "
        "and the sides of cloth?",
        COVERED,
        drawn_covering(reading),
    )


def drawn_covering(reading: Reading) -> str:
    """ "quarter" where the spine has another colour than the cover, "half" where corners share it."""
    cover, spine = _region(reading, "cover"), _region(reading, "spine")
    if cover is None or spine is None or not _differ(cover, spine):
        return "whole"
    corners = [
        region
        for feature in reading.features
        if feature.feature == "corner_piece"
        and (region := main_region(reading, feature.mask)) is not None
        and metal_of(region.lab) is None
    ]
    return "half" if corners and all(not _differ(corner, spine) for corner in corners) else "quarter"


def _region(reading: Reading, word: str) -> Region | None:
    """The main region of the largest feature of that word."""
    found: list[Feature] = [f for f in reading.features if f.feature == word]
    if not found:
        return None
    largest = max(found, key=lambda feature: int(np.count_nonzero(feature.mask)))
    return main_region(reading, largest.mask)


def _differ(one: Region, other: Region) -> bool:
    if one.material == other.material:
        return False
    dark, light = sorted((one.lab, other.lab))
    share = dark[0] / light[0] if light[0] > 0 else 1.0
    return float(np.hypot(dark[1] - share * light[1], dark[2] - share * light[2])) > _OTHER_COLOUR


def covering_parts(lengths: Lengths, *, covering: str, covered: str) -> tuple[Part, ...]:
    """The pieces of the covering; laid over each other they are the covering in one piece.

    Parameters
    ----------
    lengths : Lengths
    covering : {"leather", "cloth"}
        Of the whole, or of spine and corners; the sides are of cloth.
    covered : {"whole", "quarter", "half"}
    """
    outline = covering_outline(lengths, covering=covering)
    grain = "height" if covering == "cloth" else None
    thickness = lengths["covering_thickness"]
    if covered == "whole":
        marks = covering_marks(lengths)
        if covering == "leather":
            marks = (*marks, ("full_thickness", unpared(lengths, outline)))
        return (Part("covering", covering, 1, thickness, outline, grain, marks=marks),)
    return tuple(_pieces(lengths, outline, covering, grain, has_corners=covered == "half"))


def unpared(lengths: Lengths, outline: Polygon) -> MultiPolygon:
    """Where leather keeps its full thickness: neither turned in nor bent in a joint.

    Turn-ins are feathered from their edge to the far side of the board's edge; joints are pared in a strip
    (Adam, Practical Bookbinding), at least as wide as the gap.
    """
    inside = outline.buffer(-lengths["turn_in"] - lengths["board_thickness"], join_style="mitre")
    strip = max(trade.value("covering.joint_paring").number, lengths["joint_gap"])
    at = lengths["turn_in"] + lengths["board_width"] + lengths["joint_gap"] / 2
    for middle in (at, lengths["covering_width"] - at):
        inside = inside.difference(box(middle - strip / 2, 0, middle + strip / 2, lengths["covering_height"]))
    pieces = inside.geoms if isinstance(inside, MultiPolygon) else [inside]
    return MultiPolygon([piece for piece in pieces if not piece.is_empty])


def _pieces(
    lengths: Lengths, outline: Polygon, covering: str, grain: str | None, *, has_corners: bool
) -> Iterator[Part]:
    width, height, turn_in = (lengths[f"{n}"] for n in ("covering_width", "covering_height", "turn_in"))
    reach = sum(trade.value("covering.quarter_reach").numbers) / 2 * lengths["board_width"]
    overlap = trade.value("covering.side_overlap").number
    edge = turn_in + lengths["board_width"] - reach
    thickness = lengths["covering_thickness"]
    spine = outline.intersection(box(edge, 0, width - edge, height))
    marks = tuple(
        (name, translate(mark.intersection(spine), -edge, 0))
        for name, mark in covering_marks(lengths)
        if name != "turn_in"
    )
    yield Part("covering_spine", covering, 1, thickness, _at_zero(spine), grain, marks=marks)
    # The board at the left; the others are the same turned round.
    board = next(mark for name, mark in covering_marks(lengths) if name == "front_board")
    side = outline.intersection(box(0, 0, edge + overlap, height))
    if has_corners:
        # The corner's edge stands as far from the board's corner as the spine comes onto the board.
        leg = 2 * turn_in + reach * 2**0.5
        corner = outline.intersection(_triangle(leg))
        yield _marked("covering_corner", covering, 4, thickness, corner, grain, board)
        inner = _triangle(leg - overlap * 2**0.5)
        turned = Polygon([(x, height - y) for x, y in inner.exterior.coords])
        side = side.difference(inner).difference(turned)
    cloth = trade.value("covering.cloth_thickness").number
    yield _marked("covering_side", "cloth", 2, cloth, side, "height", board)


def _triangle(leg: float) -> Polygon:
    return Polygon([(0, 0), (leg, 0), (0, leg)])


def _marked(
    name: str,
    material: str,
    quantity: int,
    thickness: float,
    piece: Polygon,
    grain: str | None,
    board: Polygon,
) -> Part:
    """A piece at the origin, with what of the board lies on it."""
    x, y, _, _ = piece.bounds
    mark = translate(board.intersection(piece), -x, -y)
    return Part(name, material, quantity, thickness, _at_zero(piece), grain, marks=(("board", mark),))


def _at_zero(piece: Polygon) -> Polygon:
    x, y, _, _ = piece.bounds
    return translate(piece, -x, -y)
