"""Closely packed sheets: judged by GEOS, not by the library that packed them."""

import random
import sys

import pytest
from shapely.geometry import Polygon, box

from pixel2make.errors import DesignError
from pixel2make.pack.nesting import nest
from pixel2make.pack.tight_nesting import nest_tightly

GAP, MARGIN, SIDE = 3.0, 8.0, 300.0


def angle(width, height):
    return Polygon(
        [(0, 0), (width, 0), (width, height / 3), (width / 3, height / 3), (width / 3, height), (0, height)]
    )


def triangle(width, height):
    return Polygon([(0, 0), (width, 0), (0, height)])


def parts(seed):
    """Angles and triangles that waste a third of a sheet where each takes the first free place."""
    draw = random.Random(seed)
    return [
        shape(draw.uniform(40, 120), draw.uniform(40, 120))
        for shape, count in ((angle, 20), (triangle, 12))
        for _ in range(count)
    ]


def laid(nesting, outlines, grain):
    return nesting(outlines, sheet_mm=(SIDE, SIDE), gap_mm=GAP, margin_mm=MARGIN, has_grain=grain)


@pytest.mark.parametrize("seed,has_grain", [(1, False), (7, True)])
def test_parts_lie_inside_keep_their_distance_and_are_all_there(seed, has_grain):
    outlines = parts(seed)
    grain = [has_grain] * len(outlines)
    sheets = laid(nest_tightly, outlines, grain)
    assert sorted(p.index for sheet in sheets for p in sheet.parts) == list(range(len(outlines)))
    room = box(MARGIN, MARGIN, SIDE - MARGIN, SIDE - MARGIN).buffer(1e-2)
    for sheet in sheets:
        for i, placed in enumerate(sheet.parts):
            assert room.contains(placed.outline)
            assert placed.outline.area == pytest.approx(outlines[placed.index].area)
            assert placed.turn_deg in ((0, 180) if has_grain else (0, 90, 180, 270))
            assert all(placed.outline.distance(other.outline) >= GAP - 1e-2 for other in sheet.parts[:i])
    assert len(sheets) <= len(laid(nest, outlines, grain))


def test_a_part_lies_as_its_place_and_turn_say():
    """Turned about its own origin as seen, then moved to the corner of its box: as with plain nesting."""
    from shapely import affinity

    outlines = parts(7)
    for sheet in laid(nest_tightly, outlines, [False] * len(outlines)):
        for placed in sheet.parts:
            turned = affinity.rotate(outlines[placed.index], -placed.turn_deg, origin=(0, 0))
            x, y, _, _ = turned.bounds
            wanted = affinity.translate(turned, placed.x - x, placed.y - y)
            assert wanted.symmetric_difference(placed.outline).area < 1e-2 * placed.outline.area


def test_where_one_sheet_holds_all_the_plain_layout_stands():
    outlines = [box(0, 0, 60, 40), angle(80, 80)]
    assert laid(nest_tightly, outlines, [False] * 2) == laid(nest, outlines, [False] * 2)


def test_a_part_larger_than_the_stock_keeps_its_own_sheet():
    sheets = laid(nest_tightly, [box(0, 0, 500, 20), box(0, 0, 50, 50)], [True, True])
    assert [sheet.is_oversize for sheet in sheets] == [False, True]


def test_without_the_package_one_line_says_what_to_do(monkeypatch):
    monkeypatch.setitem(sys.modules, "spyrrow", None)
    with pytest.raises(DesignError, match=r'pip install "pixel2make\[nest\]", or choose nesting plain'):
        laid(nest_tightly, [box(0, 0, 60, 40)], [False])
