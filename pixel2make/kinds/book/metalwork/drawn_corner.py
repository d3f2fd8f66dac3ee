"""Corner pieces and bosses as they are drawn: which corner they guard, and their outline seen from there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely.affinity import affine_transform, translate
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.design.outlines import outline_on_face, polygons_only
from pixel2make.design.scale import Scaled, feature_masks
from pixel2make.kinds.book.areas import main_region, style_of
from pixel2make.reading.model import Feature

__all__ = ["Corner", "DrawnFitting", "alike", "drawn_fittings", "on_both_boards", "one_a_corner"]

_FACES = ("cover", "back")
_REACHES_EDGE_PX = 1.5
"""A drawn piece that keeps off an edge by no more than this reaches it: a contour of one pixel lies between
them, and half a pixel is what a slanted grid may be off."""
_ONE_PIXEL = 1.0
"""Pieces whose outlines stray no more from each other were meant to be the same."""
_SPECK = 0.15
"""Parts of a piece below this share of its largest are dirt of the drawing."""
_DEFAULT_COLOR = "#d29428"


@dataclass(frozen=True)
class Corner:
    """A corner of a board: on the front or back board, at head or tail, at the fore-edge or the spine.

    Attributes
    ----------
    board : {"front", "back"}
    end : {"head", "tail"}
    side : {"fore_edge", "spine"}
    """

    board: str
    end: str
    side: str

    @property
    def is_right(self) -> bool:
        """Right hand: the side's edge held upright and outside towards you, the corner comes upper right.

        Turning a piece keeps its hand: front head and back tail are alike, front tail and back head their
        mirror images.

        >>> [Corner("front", end, "fore_edge").is_right for end in ("head", "tail")]
        [True, False]
        >>> [Corner("back", end, "fore_edge").is_right for end in ("head", "tail")]
        [False, True]
        """
        return (self.board == "front") == ((self.end == "head") == (self.side == "fore_edge"))

    @property
    def words(self) -> str:
        """The corner in words: "front board, head, fore-edge"."""
        return f"{self.board} board, {self.end}, {self.side.replace('_', '-')}"


@dataclass(frozen=True, eq=False)
class DrawnFitting:
    """A piece of furniture from its pixels.

    Attributes
    ----------
    name : str
        The feature's id, with "-back" or "-front" where a rule added it on the other board.
    feature : str
    corner : Corner
        The nearest.
    outline : Polygon
        x inwards from the corner's side, y inwards from its end, mm.
    is_corner : bool
        True where it reaches both edges, or the end's edge at the spine; else it lies within the board.
    pixel_mm : (float, float)
    color : str
    origin : {"sprite", "rule"}
    """

    name: str
    feature: str
    corner: Corner
    outline: Polygon
    is_corner: bool
    pixel_mm: tuple[float, float]
    color: str
    origin: str = "sprite"


def drawn_fittings(scaled: Scaled, features: Sequence[str]) -> tuple[list[DrawnFitting], list[str]]:
    """Every drawn feature of those words that lies on a board, in the order of the features.

    And sentences about those that lie on none, which are not made.
    """
    made, said = [], []
    for feature in scaled.reading.features:
        if feature.feature in features:
            masks = feature_masks(scaled.reading, feature)
            face = next((name for name in _FACES if name in masks), None)
            found = None if face is None else _drawn(scaled, feature, face)
            if found is not None:
                made.append(found)
            else:
                said.append(f"{feature.id} lies on neither board, so nothing of metal is made of it.")
    return made, said


def one_a_corner(drawn: Sequence[DrawnFitting]) -> list[DrawnFitting]:
    """Pieces that reach the same corner are one, with the name of the first."""
    found: dict[object, DrawnFitting] = {}
    for piece in drawn:
        key: object = piece.corner if piece.is_corner else piece.name
        first = found.get(key)
        if first is None:
            found[key] = piece
        else:
            found[key] = replace(first, outline=_whole(first.outline.union(piece.outline)))
    return list(found.values())


def _drawn(scaled: Scaled, feature: Feature, face: str) -> DrawnFitting | None:
    mask = feature_masks(scaled.reading, feature)[face]
    width, height = (span.value for span in scaled.face_size(face))
    style = style_of(scaled.taken, feature.feature)
    outline = outline_on_face(scaled.reading, face, mask, (width, height), style=style)
    place = scaled.box(mask, face)
    if outline is None or place is None:
        return None
    outline = _without_specks(outline)
    x0, y0, x1, y1 = outline.bounds
    # a face's x runs from its spine edge to the fore-edge, its y down from the head
    side = "fore_edge" if (x0 + x1) / 2 > width / 2 else "spine"
    end = "head" if (y0 + y1) / 2 < height / 2 else "tail"
    matrix = [
        -1 if side == "fore_edge" else 1,
        0,
        0,
        1 if end == "head" else -1,
        width if side == "fore_edge" else 0,
        0 if end == "head" else height,
    ]
    seen = affine_transform(outline, matrix)
    pixel = (
        (place.width.high - place.width.low) / 2 or scaled.px_mm.value,
        (place.height.high - place.height.low) / 2 or scaled.px_mm.value,
    )
    x0, y0, _, _ = seen.bounds
    reaches = x0 <= _REACHES_EDGE_PX * pixel[0] and y0 <= _REACHES_EDGE_PX * pixel[1]
    is_corner = feature.feature == "corner_piece" and reaches
    if is_corner:
        seen = translate(seen, -x0, -y0)
    region = main_region(scaled.reading, mask)
    corner = Corner("front" if face == "cover" else "back", end, side)
    color = region.color if region else _DEFAULT_COLOR
    return DrawnFitting(feature.id, feature.feature, corner, _whole(seen), is_corner, pixel, color)


def _without_specks(outline: Polygon | MultiPolygon) -> BaseGeometry:
    pieces = list(outline.geoms) if isinstance(outline, MultiPolygon) else [outline]
    least = _SPECK * max(piece.area for piece in pieces)
    return MultiPolygon([piece for piece in pieces if piece.area >= least])


def _whole(shape: BaseGeometry) -> Polygon:
    """One polygon: parts are joined by the least bridge that a saw can leave, else by their hull."""
    reach = trade.value("cutting.corner_join").number / 2
    found = polygons_only(shape)
    if found is not None and not isinstance(found, Polygon):
        found = polygons_only(found.buffer(reach, join_style="mitre").buffer(-reach, join_style="mitre"))
    if isinstance(found, Polygon):
        return found
    hull = shape.convex_hull
    assert isinstance(hull, Polygon)
    return hull


def alike(drawn: Sequence[DrawnFitting]) -> list[DrawnFitting]:
    """Pieces that differ by no more than a pixel get one outline, the larger: they become true pairs."""
    found: list[DrawnFitting] = []
    models: list[DrawnFitting] = []
    for piece in sorted(drawn, key=lambda d: (-d.outline.area, d.name)):
        model = next((m for m in models if _is_alike(piece, m)), None)
        if model is None:
            models.append(piece)
            model = piece
        found.append(replace(piece, outline=model.outline))
    order = [piece.name for piece in drawn]
    return sorted(found, key=lambda piece: order.index(piece.name))


def _is_alike(one: DrawnFitting, other: DrawnFitting) -> bool:
    if not (one.is_corner and other.is_corner and one.corner.side == other.corner.side):
        return False
    most = _ONE_PIXEL * max(*one.pixel_mm, *other.pixel_mm) + 1e-6
    return one.outline.hausdorff_distance(other.outline) <= most


def on_both_boards(drawn: Sequence[DrawnFitting]) -> list[DrawnFitting]:
    """The drawn pieces and, by rule, their mirror images on a board that is not drawn."""
    found = list(drawn)
    boards = {piece.corner.board for piece in drawn}
    if len(boards) == 1:
        other = "back" if boards == {"front"} else "front"
        for piece in drawn:
            corner = replace(piece.corner, board=other)
            found.append(replace(piece, name=f"{piece.name}-{other}", corner=corner, origin="rule"))
    return found
