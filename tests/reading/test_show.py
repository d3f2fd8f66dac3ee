"""The picture of a reading, opened again and looked at pixel by pixel."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from pixel2make import kinds
from pixel2make.reading import Overrides, View, interpret, show_png
from pixel2make.reading.show import MARKS
from pixel2make.regions import segment
from tests.truth.books import make
from tests.truth.score import sprite_of

SCALE = 9
TITLE = 26
GAP = 18
BOX = (214, 0, 88)


@pytest.fixture(scope="module")
def drawn():
    return make(10020, "icon", 30)


@pytest.fixture(scope="module")
def reading(drawn):
    box = drawn.box
    view = View(drawn.kind, 1.0, box.origin, box.u, box.v, box.t if drawn.ratio[2] else None)
    return interpret(segment(sprite_of(drawn)), kinds.find("book"), Overrides(view=view))


@pytest.fixture(scope="module")
def sheet(reading):
    return np.array(Image.open(io.BytesIO(show_png(reading, scale=SCALE))).convert("RGB"))


def panel(sheet, reading, number):
    """The sprite (0), the box (1) or the feature map (2)."""
    rows, cols = reading.regions.sprite.shape
    left = GAP + number * (cols * SCALE + GAP)
    return sheet[TITLE : TITLE + rows * SCALE, left : left + cols * SCALE]


def test_it_is_a_png_and_the_same_bytes_again(reading):
    one = show_png(reading)
    assert one[:8] == b"\x89PNG\r\n\x1a\n"
    assert one == show_png(reading)


def test_the_sprite_is_crisp(sheet, reading):
    sprite = reading.regions.sprite
    for y, x in np.argwhere(sprite.rgba[..., 3] == 255):
        cell = panel(sheet, reading, 0)[y * SCALE : (y + 1) * SCALE, x * SCALE : (x + 1) * SCALE]
        assert (cell == sprite.rgba[y, x, :3]).all()


def test_the_box_is_drawn_where_it_was_found(sheet, reading):
    corners = np.array(reading.view.cover_corners_px) * SCALE
    picture = panel(sheet, reading, 1)
    for start, stop in zip(corners, np.roll(corners, -1, 0), strict=True):
        # A quarter along each edge, away from the corners' names.
        x, y = np.rint(start + (stop - start) * 0.5).astype(int)
        near = picture[max(0, y - 2) : y + 3, max(0, x - 2) : x + 3].reshape(-1, 3)
        assert (near == BOX).all(axis=1).any()


def test_features_have_their_colour_and_their_edges(sheet, reading):
    picture = panel(sheet, reading, 2)
    for feature in reading.features:
        color = np.array(MARKS[feature.feature].color)
        y, x = np.argwhere(feature.mask)[0]
        cell = picture[y * SCALE + 1 : (y + 1) * SCALE, x * SCALE + 1 : (x + 1) * SCALE].reshape(-1, 3)
        assert (cell == color).all(axis=1).mean() > 0.3, feature.id


def test_words_stand_below_the_panels(sheet, reading):
    rows = reading.regions.sprite.shape[0]
    below = sheet[TITLE + rows * SCALE + GAP :]
    assert (below.min(axis=2) < 80).sum() > 500


def test_a_word_that_has_no_mark_is_drawn_like_other(reading):
    """A new kind's words are drawn too."""
    from dataclasses import replace

    renamed = tuple(
        replace(f, feature="lantern_glass") if f.feature == "cover" else f for f in reading.features
    )
    assert show_png(replace(reading, features=renamed))[:4] == b"\x89PNG"


@pytest.mark.parametrize("scale", [1, 3, 24])
def test_any_scale(reading, scale):
    picture = Image.open(io.BytesIO(show_png(reading, scale=scale)))
    rows, cols = reading.regions.sprite.shape
    assert picture.width >= 3 * cols * scale
    assert picture.height > rows * scale


def test_what_is_asked_about_is_outlined(reading):
    """The line runs along the outer side of the patch's pixels, in the box's panel."""
    from dataclasses import replace

    from pixel2make.reading.model import Question

    color = (0, 110, 70)
    inner = next(p for p in reading.patches if p.feature not in ("background", "outline") and p.face)
    asked = Question(inner.name, "Is it?", ("clasp", "cover"), "clasp")

    def box(questions):
        made = show_png(replace(reading, questions=questions), scale=SCALE)
        return panel(np.array(Image.open(io.BytesIO(made)).convert("RGB")), reading, 1)

    with_it, without = ((box(q) == color).all(axis=2) for q in ((asked,), ()))
    assert not without.any()
    near = np.zeros_like(with_it)
    big = np.repeat(np.repeat(inner.mask, SCALE, 0), SCALE, 1)
    for dy in range(-2, 3):
        for dx in range(-2, 3):
            near |= np.roll(big, (dy, dx), (0, 1))
    # The number and the corners' names may cover some of it.
    line = near & ~big
    assert with_it[line].mean() > 0.7
