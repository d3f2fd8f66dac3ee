"""Clasps that tests build by hand."""

from shapely.geometry import Polygon, box

from pixel2make.design.model import Clasp, Design
from pixel2make.quantity import Dimension

OUTLINES = {
    "rectangle": box(0, 0, 18, 12),
    "l_shape": Polygon([(0, 0), (18, 0), (18, 6), (6, 6), (6, 12), (0, 12)]),
    "hammer": Polygon([(0, 5), (10, 5), (10, 0), (20, 0), (20, 15), (10, 15), (10, 10), (0, 10)]),
    "stairs": Polygon(
        [(0, 2), (1, 2), (1, 1), (3, 1), (3, 0), (9, 0), (9, 4), (7, 4), (7, 8), (1, 8), (1, 6), (0, 6)]
    ),
    "triangle_on_its_tip": Polygon([(0, 6), (12, 0), (12, 12)]),
    "corners_that_touch": Polygon([(0, 0), (5, 0), (5, 5), (10, 5), (10, 10), (5, 10), (5, 5), (0, 5)]),
    "window": box(0, 0, 20, 12).difference(box(8, 3, 14, 8)),
    "one_pixel": box(0, 0, 3.4, 3.4),
}


def chosen(name: str, value: float) -> Dimension:
    return Dimension(name, value, value, value, "rule", "chosen for a test")


def clasp_of(
    plate: Polygon,
    *,
    span: float = 26.8,
    wall: float = 2.0,
    sheet: float = 0.8,
    radius: float = 0.8,
    k_factor: float = 0.4,
    name: str = "clasp-1",
) -> Clasp:
    _, _, length, width = plate.bounds
    return Clasp(
        name,
        plate,
        75.0,
        chosen("span", span),
        chosen("plate_length", length),
        chosen("width", width),
        chosen("wall", wall),
        chosen("sheet", sheet),
        chosen("inside_radius", radius),
        k_factor,
        "brass",
        "#d29428",
    )


def design_of(*clasps: Clasp) -> Design:
    """A design that holds clasps and nothing else."""
    return Design(None, "height", (), {}, (), (), clasps, (), (), ())
