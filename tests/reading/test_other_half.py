"""A fitting's other half, cut out of the pages or the contour, against books painted here."""

from __future__ import annotations

import numpy as np

from pixel2make.color import srgb_to_lab
from pixel2make.reading.faces import find_faces
from pixel2make.reading.model import Patch, View
from pixel2make.reading.other_half import with_other_halves
from tests.reading.drawn import book, regions_of

ORIGIN, WIDTH, HEIGHT, DEPTH = (8.0, 8.0), (20.0, 0.0), (0.0, 28.0), (6.0, -6.0)
GOLD, PALE_GOLD = (214, 158, 42), (236, 208, 140)
SHAPE = (44, 44)


def painted(low: float, high: float):
    """A book with gold on the cover and pale gold on the pages between two heights, and the two masks."""
    rgba = book(SHAPE, ORIGIN, WIDTH, HEIGHT, DEPTH)
    view = View("oblique", 1.0, ORIGIN, WIDTH, HEIGHT, DEPTH)
    faces = find_faces(view, regions_of(rgba))
    ys, xs = np.indices(SHAPE)
    points = np.stack([xs.ravel() + 0.5, ys.ravel() + 0.5], 1)
    half = {}
    for face in faces:
        if face.name in ("cover", "fore_edge"):
            a, b = face.to_face(points).T.reshape(2, *SHAPE)
            row = (b > low) & (b < high) & face.mask
            half[face.name] = row & ((a > 0.85) if face.name == "cover" else (a < 0.6))
    rgba[half["cover"], :3], rgba[half["fore_edge"], :3] = GOLD, PALE_GOLD
    return rgba, faces, half


def split_by_hand(rgba, faces, half, region_of_pages: int = 2):
    """The gold half as one patch, the other half within the pages."""
    pages = next(face for face in faces if face.name == "fore_edge").mask
    patches = (
        Patch("r1", 1, "cover", half["cover"], "", 0.0),
        Patch("r2.fore_edge", region_of_pages, "fore_edge", pages, "", 0.0),
    )
    return with_other_halves(patches, faces, srgb_to_lab(rgba[..., :3]), frozenset())


def test_the_half_on_the_pages_becomes_a_patch_of_its_own():
    rgba, faces, half = painted(0.4, 0.6)
    found = split_by_hand(rgba, faces, half)
    assert [p.name for p in found] == ["r1", "r2.fore_edge", "r2.fore_edge.2"]
    assert found[2].face == "fore_edge"
    assert (found[2].mask & half["fore_edge"]).sum() >= 0.8 * half["fore_edge"].sum()
    assert not (found[2].mask & ~half["fore_edge"]).any()
    assert not (found[1].mask & found[2].mask).any()


def test_pages_of_one_shade_stay_whole():
    rgba, faces, half = painted(0.4, 0.6)
    rgba[half["fore_edge"], :3] = (238, 226, 196)
    assert len(split_by_hand(rgba, faces, half)) == 2


def test_a_corner_piece_points_at_nothing():
    rgba, faces, half = painted(0.0, 0.15)
    assert len(split_by_hand(rgba, faces, half)) == 2
