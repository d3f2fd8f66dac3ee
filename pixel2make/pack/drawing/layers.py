"""The layers of the closed book, cut across its spine: what lies on what, in millimetres of the real object.

x runs from the spine's outer face to the fore-edge, y from the front board's outer face to the back board's.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import LineString, MultiPolygon, Polygon, box

from pixel2make.design.model import Design
from pixel2make.pack.drawing.view import find_dimension, length_of
from pixel2make.quantity import length_digits

__all__ = ["DETAIL_REACH", "Layer", "has_layers", "spine_layers"]

DETAIL_REACH = 5.0
"""The detail of the joint reaches this far past the edge of the board, in thicknesses of the covered board;
leaders point at layers within it."""
DIP_SHARE = 0.6
"""How far the covering is set into the joint, as a share of the board's thickness."""


@dataclass(frozen=True)
class Layer:
    """One material in the section.

    Attributes
    ----------
    name : str
    shape : Polygon or MultiPolygon
    hatch : {"/", "-", ""}
    mark : (x, y)
        Where a leader points at, on the front half near the spine.
    """

    name: str
    shape: Polygon | MultiPolygon
    hatch: str
    mark: tuple[float, float]


_NEEDED = (
    "cover_width",
    "book_thickness",
    "covering_thickness",
    "board_thickness",
    "board_width",
    "leaf_width",
)


def has_layers(design: Design) -> bool:
    """Whether the design says enough about its layers to be cut through."""
    return all(length_of(design, name) > 0 for name in _NEEDED)


def spine_layers(design: Design) -> tuple[Layer, ...]:
    """Covering, boards, spine piece, lining and block of the closed book at its nominal thickness."""
    width, thick = length_of(design, "cover_width"), length_of(design, "book_thickness")
    skin, board = length_of(design, "covering_thickness"), length_of(design, "board_thickness")
    stiff = length_of(design, "spine_piece_thickness", "spine_lining_thickness")
    edge = width - length_of(design, "board_width")
    reach = min(width - edge, DETAIL_REACH * (skin + board))
    inner = skin + stiff
    lining = sum(p.thickness_mm for p in design.parts if p.name in {"mull", "spine_lining"})
    leaves = inner + length_of(design, "leaf_width")
    front = box(edge, skin, width, skin + board)
    block = box(inner + lining, skin + board, leaves, thick - skin - board)
    pages = length_of(design, "pages_thickness", "block_thickness")
    units = design.units
    sizes = {k: f"{length_digits(v, units)} {units}" for k, v in (("skin", skin), ("board", board))}
    covering = next((p.material for p in design.parts if p.name.startswith("covering")), "covering")
    found = [
        Layer(
            f"{covering.replace('_', ' ')} {sizes['skin']}",
            _covering(width, thick, skin, board, edge, inner),
            "",
            (edge + 0.7 * reach, skin / 2),
        ),
        Layer(
            f"board {sizes['board']}",
            MultiPolygon([front, box(edge, thick - skin - board, width, thick - skin)]),
            "/",
            (edge + 0.4 * reach, skin + board / 2),
        ),
        Layer(
            f"leaves, {length_digits(pages, units)} {units} pressed",
            block,
            "-",
            (edge + 0.75 * reach, skin + board * 2.2),
        ),
    ]
    if stiff > 0:
        name = "spine piece" if find_dimension(design, "spine_piece_thickness") else "stiffening of the spine"
        piece = box(skin, skin, inner, thick - skin)
        mark = (skin + stiff / 2, skin + board * 2.6)
        found.append(Layer(f"{name} {length_digits(stiff, units)} {units}", piece, "/", mark))
    if lining > 0:
        strip = box(inner, skin + board, inner + lining, thick - skin - board)
        found.append(Layer("mull and lining paper", strip, "", (inner + lining / 2, skin + board * 1.7)))
    return tuple(layer for layer in found if not layer.shape.is_empty)


def _covering(
    width: float, thick: float, skin: float, board: float, edge: float, inner: float
) -> Polygon | MultiPolygon:
    """The covering over both boards and the spine, set into the joints."""
    half = skin / 2
    points = [(width, half)]
    if edge - inner > 2 * skin:
        # It turns half its thickness off the edges, so that its inner side clears them.
        points += [(edge - half, half), ((edge + inner) / 2, half + DIP_SHARE * board), (inner + half, half)]
    points.append((half, half))
    back = [(x, thick - y) for x, y in reversed(points)]
    shape = LineString([*points, *back]).buffer(half, cap_style="flat", join_style="mitre")
    return shape if isinstance(shape, Polygon | MultiPolygon) else Polygon()
