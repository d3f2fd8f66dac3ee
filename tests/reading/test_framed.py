"""Frames that light and shade break into several colours, on drawings made for it."""

from __future__ import annotations

import numpy as np
import pytest

from pixel2make.color import srgb_to_lab
from pixel2make.reading.framed import frame_line
from pixel2make.reading.model import Face

ROWS, COLS = 20, 15
LEATHER, LIT, SHADED = (120, 78, 44), (236, 170, 92), (150, 70, 40)


def sheet(slant: int = 0) -> tuple[Face, np.ndarray]:
    """A cover of one brown; with a slant its upper edge rises by so many pixels."""
    shape = (ROWS + slant, COLS)
    face = Face(
        "cover",
        (0.0, float(slant)),
        (float(COLS), float(-slant)),
        (0.0, float(ROWS)),
        True,
        np.ones(shape, bool),
    )
    return face, np.full((*shape, 3), LEATHER, np.uint8)


def ring(left: int, right: int, top: int, bottom: int) -> np.ndarray:
    out = np.zeros((ROWS, COLS), bool)
    out[top : bottom + 1, [left, right]] = True
    out[[top, bottom], left : right + 1] = True
    return out


@pytest.mark.parametrize("sides", [(1, 13, 1, 18), (2, 12, 2, 17), (2, 12, 3, 14), (3, 13, 2, 16)])
def test_a_frame_lit_on_two_sides_and_shaded_on_the_others_is_one_line(sides):
    face, rgb = sheet()
    at = ring(*sides)
    rgb[at] = SHADED
    rgb[: sides[3], : sides[1]][at[: sides[3], : sides[1]]] = LIT
    found = frame_line(face, srgb_to_lab(rgb))
    assert found is not None and (found == at).all()


def test_the_frame_of_a_slanted_cover_is_found_along_its_edges():
    face, rgb = sheet(slant=5)
    at = np.zeros(rgb.shape[:2], bool)
    flat = ring(2, 12, 2, 17)
    for column in range(COLS):
        rise = int(np.floor(5 - 5 * (column + 0.5) / COLS + 0.5))
        at[rise : rise + ROWS, column] = flat[:, column]
    rgb[at] = LIT
    found = frame_line(face, srgb_to_lab(rgb))
    assert found is not None
    assert (found & at).sum() >= 0.9 * at.sum()
    assert (found & ~at).sum() <= 0.1 * at.sum()


def test_light_on_two_edges_and_shade_on_the_others_are_no_frame():
    face, rgb = sheet()
    at = ring(1, 13, 1, 18)
    rgb[at] = (70, 40, 20)
    rgb[:18, :13][at[:18, :13]] = (180, 130, 90)
    assert frame_line(face, srgb_to_lab(rgb)) is None


@pytest.mark.parametrize("seed", range(8))
def test_texture_is_no_frame(seed):
    face, rgb = sheet()
    rng = np.random.default_rng(seed)
    shades = np.array([LEATHER, (104, 66, 36), (134, 90, 52), (120, 78, 44)], np.uint8)
    rgb = shades[rng.integers(0, len(shades), rgb.shape[:2])]
    assert frame_line(face, srgb_to_lab(rgb)) is None


def test_a_panel_of_another_colour_has_no_line_round_it():
    face, rgb = sheet()
    rgb[3:16, 3:12] = LIT
    assert frame_line(face, srgb_to_lab(rgb)) is None
