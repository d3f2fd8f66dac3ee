"""What lies beside the object for scale: a hand, a rule, the maker; outlines in millimetres, y up."""

from __future__ import annotations

import math

import shapely
from shapely.affinity import scale
from shapely.geometry import LineString, Point, Polygon, box

from pixel2make import trade

__all__ = ["hand_outline", "hand_size_mm", "person_outline"]


def hand_size_mm() -> tuple[float, float]:
    """Breadth and length of a hand half-way between the published means of women and men."""
    length, breadth = trade.value("body.hand_length").value, trade.value("body.hand_breadth").value
    return (
        (breadth["women_median"] + breadth["men_median"]) / 2,
        (length["women_mean"] + length["men_mean"]) / 2,
    )


def hand_outline() -> Polygon:
    """An open left hand seen from its back, wrist at y = 0, as long and as broad as `hand_size_mm`."""
    breadth, length = hand_size_mm()
    share = trade.value("preview.hand_shape").value
    palm = share["palm_length"] * length
    shapes = [box(0.07 * breadth, 0, 0.93 * breadth, palm).buffer(-8).buffer(8)]
    fingers = (("little", 0.11, 9.0), ("ring", 0.37, 3.0), ("middle", 0.63, -1.0), ("index", 0.88, -6.0))
    for name, across, lean in fingers:
        thick = 0.105 * breadth * (0.86 if name == "little" else 1.0)
        reach = share[name] * length - thick
        foot = (across * breadth, palm - 6 - 8 * abs(across - 0.6))
        tip = (foot[0] - reach * math.sin(math.radians(lean)), foot[1] + reach)
        shapes.append(LineString([foot, tip]).buffer(thick))
    root, end = (0.8 * breadth, 0.18 * length), (1.26 * breadth, 0.46 * length)
    shapes.append(LineString([root, end]).buffer(0.13 * breadth))
    hand = shapely.union_all(shapes).buffer(4).buffer(-8).buffer(4)
    x0, y0, x1, y1 = hand.bounds
    del x0, x1
    return scale(shapely.affinity.translate(hand, 0, -y0), 1, length / (y1 - y0), origin=(0, 0))


def person_outline(height_mm: float) -> Polygon:
    """A standing figure of that height, feet at y = 0, middle at x = 0; a shape and no likeness."""
    head = Point(0, 0.935).buffer(0.062)
    body = Polygon(
        [(-0.11, 0.81), (0.11, 0.81), (0.09, 0.62), (0.095, 0.48), (-0.095, 0.48), (-0.09, 0.62)]
    ).buffer(0.02)
    limbs = [
        LineString([(0, 0.88), (0, 0.80)]).buffer(0.03),
        LineString([(-0.055, 0.5), (-0.06, 0.03)]).buffer(0.037),
        LineString([(0.055, 0.5), (0.06, 0.03)]).buffer(0.037),
        LineString([(-0.125, 0.8), (-0.15, 0.47)]).buffer(0.027),
        LineString([(0.125, 0.8), (0.15, 0.47)]).buffer(0.027),
    ]
    figure = shapely.union_all([head, body, *limbs])
    _, y0, _, y1 = figure.bounds
    factor = height_mm / (y1 - y0)
    return shapely.affinity.affine_transform(figure, [factor, 0, 0, factor, 0, -y0 * factor])
