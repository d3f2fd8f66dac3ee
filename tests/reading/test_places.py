"""Where a patch lies, in words, against boxes whose faces are known."""

from __future__ import annotations

import numpy as np
import pytest

from pixel2make.kinds.book.places import described, place_of
from pixel2make.reading.faces import find_faces
from pixel2make.reading.model import Patch, View
from pixel2make.reading.patches import Scene
from tests.reading.drawn import book, regions_of

ORIGIN, WIDTH, HEIGHT, DEPTH = (14.0, 8.0), (20.0, 0.0), (0.0, 28.0), (5.0, -5.0)


def scene() -> Scene:
    """A book from the front with its fore-edge and head in cavalier projection."""
    regions = regions_of(book((44, 48), ORIGIN, WIDTH, HEIGHT, DEPTH))
    view = View("oblique", 1.0, ORIGIN, WIDTH, HEIGHT, DEPTH)
    return Scene(regions, view, find_faces(view, regions), ())


SCENE = scene()


def patch(face: str | None, low: tuple[float, float], high: tuple[float, float]) -> Patch:
    """What lies between two points of a face; beside the book for none."""
    rows, cols = SCENE.regions.sprite.shape
    ys, xs = np.indices((rows, cols))
    points = np.stack([xs.ravel() + 0.5, ys.ravel() + 0.5], 1)
    at = SCENE.face(face or "cover").to_face(points).reshape(rows, cols, 2)
    mask = ((at >= low) & (at <= high)).all(axis=-1)
    return Patch("r1", 1, face, mask, "cover", 1.0)


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        ((0.85, 0.42), (1.0, 0.58), "on the front cover at the fore-edge, mid height"),
        ((0.0, 0.42), (0.12, 0.58), "on the front cover at the spine, mid height"),
        ((0.4, 0.4), (0.6, 0.6), "on the front cover, in the middle"),
        ((0.0, 0.0), (0.15, 0.15), "on the front cover, in the corner at the spine and at the head"),
        ((0.85, 0.85), (1.0, 1.0), "on the front cover, in the corner at the fore-edge and at the tail"),
        ((0.0, 0.4), (1.0, 0.6), "on the front cover from spine to fore-edge, mid height"),
        ((0.1, 0.2), (0.9, 0.3), "on the front cover from spine to fore-edge, in the upper half"),
        ((0.9, 0.0), (1.0, 1.0), "on the front cover at the fore-edge, from head to tail"),
    ],
)
def test_places_on_the_cover(low, high, said):
    assert place_of(SCENE, patch("cover", low, high)) == said


def test_places_on_the_sides():
    assert place_of(SCENE, patch("fore_edge", (0.0, 0.4), (1.0, 0.6))) == "on the fore-edge side, mid height"
    assert (
        place_of(SCENE, patch("head", (0.8, 0.0), (1.0, 1.0))) == "on the side at the head, at the fore-edge"
    )


def test_what_lies_on_no_face_is_beside_the_book():
    assert place_of(SCENE, patch(None, (0.1, 0.1), (0.2, 0.2))) == "beside the book"


def test_a_turned_drawing_says_the_same():
    """Words go by the book, not by the picture: the same book drawn from the other side."""
    view = View("oblique", 1.0, (34.0, 8.0), (-20.0, 0.0), HEIGHT, (-5.0, -5.0))
    turned = Scene(SCENE.regions, view, find_faces(view, SCENE.regions), ())
    mask = patch("cover", (0.0, 0.42), (0.12, 0.58)).mask
    there = Patch("r1", 1, "cover", mask, "cover", 1.0)
    assert place_of(turned, there) == "on the front cover at the fore-edge, mid height"


def test_the_colour_leads():
    inside = patch("cover", (0.3, 0.3), (0.7, 0.7))
    region = SCENE.regions.labels[inside.mask][0]
    said = described(SCENE, Patch("r", int(region), "cover", inside.mask, "cover", 1.0))
    assert said == "red patch on the front cover, in the middle"  # (150, 40, 50)
