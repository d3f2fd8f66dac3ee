"""Strips beside the cover against marks upon it: what is drawn is known here pixel by pixel."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make.reading.box import Boxes
from pixel2make.reading.view_evidence import EVIDENCE, evidence_of
from pixel2make.reading.view_flat import FLAT_EVIDENCE
from pixel2make.reading.view_ground import ground_of
from tests.reading.drawn import COVER, LINE, PAGES, regions_of

W, H, DEPTH = 16, 22, 3
LIGHT = (220, 190, 90)


def leather(width=W, height=H):
    rgba = np.zeros((height, width, 4), np.uint8)
    rgba[:] = (*COVER, 255)
    return rgba


def hinged():
    """One cover with a groove near the spine: the same leather on both sides of a dark line."""
    rgba = leather()
    rgba[:, DEPTH - 1, :3] = LINE
    return rgba


def with_pages():
    rgba = leather()
    rgba[:, :DEPTH, :3] = PAGES
    return rgba


def framed():
    """A frame one pixel broad, two pixels in from the cover's edges."""
    rgba = leather()
    at = DEPTH - 1
    rgba[at, at : W - at, :3] = rgba[H - 1 - at, at : W - at, :3] = LIGHT
    rgba[at : H - at, at, :3] = rgba[at : H - at, W - 1 - at, :3] = LIGHT
    return rgba


def strip_left(depth=DEPTH, width=W, height=H):
    """The box that takes the left columns for a side."""
    return _box((depth, 0), (width - depth, 0), (0, height), (-depth, 0))


def _box(*vectors):
    return Boxes(*(np.array([v], float) for v in (*vectors, (0, 0))))


def seen(rgba, box):
    return seen_on(ground_of(regions_of(rgba)), box)


def seen_on(ground, box):
    shift = np.array(ground.shift, float)
    rows = evidence_of(Boxes(box.apex - shift, box.p, box.q, box.t, box.more), ground)
    return dict(zip(EVIDENCE, rows[0].tolist(), strict=True))


def test_a_hinge_line_has_the_cover_on_both_sides():
    hinge, pages = seen(hinged(), strip_left()), seen(with_pages(), strip_left())
    # Two of the three columns beside the line have exactly the cover's colour; no page has.
    assert hinge["shade_best"] == pytest.approx(2 / 3)
    assert pages["shade_best"] == 0


def test_the_border_of_pages_runs_to_its_ends_and_a_frame_does_not():
    pages, frame = seen(with_pages(), strip_left()), seen(framed(), strip_left())
    assert pages["ends_step"] == pytest.approx(1, abs=0.01)
    assert frame["ends_step"] < 0.7


def test_a_frame_comes_back_on_all_sides_and_pages_do_not():
    pages, frame = seen(with_pages(), strip_left()), seen(framed(), strip_left())
    for name in ("mirror_line", "frame_most", "frame_least"):
        assert frame[name] > 0.7
        assert pages[name] == 0


def test_a_frame_lies_in_the_middle_of_the_whole_only():
    plain = _box((0, 0), (W, 0), (0, H), (0, 0))
    assert seen(framed(), plain)["asym_along"] == pytest.approx(0, abs=1e-9)
    assert seen(framed(), strip_left())["asym_along"] > 0.2


PICTURE = st.lists(st.integers(0, 3), min_size=W * H, max_size=W * H)


@settings(max_examples=40, deadline=None)
@given(PICTURE, st.integers(1, 5))
def test_a_mirror_image_says_the_same(cells, depth):
    """Nothing about a strip depends on the side on which it lies."""
    colors = np.array([COVER, PAGES, LIGHT, (40, 90, 150)], np.uint8)
    rgba = leather()
    rgba[..., :3] = colors[np.array(cells).reshape(H, W)]
    ground = ground_of(regions_of(rgba))
    arrays = ("body", "line", "lab", "material", "paper")
    turned = replace(ground, **{name: getattr(ground, name)[:, ::-1] for name in arrays})
    right = _box((W - depth, 0), (depth - W, 0), (0, H), (depth, 0))
    one, two = seen_on(ground, strip_left(depth)), seen_on(turned, right)
    for name in FLAT_EVIDENCE:
        assert one[name] == pytest.approx(two[name], abs=1e-6), name
