"""Marks in a shade of the cover: drawings made for it, and drawn books whose every pixel is known."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pixel2make.color import srgb_to_lab
from pixel2make.reading.marks import lay_out, marks
from pixel2make.reading.model import Face

ROWS, COLS = 18, 14
LEATHER, DARKER, LIGHTER = (120, 78, 44), (78, 44, 24), (176, 124, 78)

LETTERED = """
..............
..............
..##.#.##.##..
..#..#.#..#...
..............
..#.##.#.##...
..............
.....###......
....#...#.....
...#..#..#....
...#.###.#....
...#..#..#....
....#...#.....
.....###......
..............
..............
..............
..............
"""


def cover(slant: int = 0) -> Face:
    """A cover whose upper edge rises by so many pixels from the spine to the fore-edge."""
    shape = (ROWS + slant, COLS)
    ys, xs = np.indices(shape)
    inside = (ys - slant + np.floor(slant * (xs + 0.5) / COLS + 0.5) >= 0) & (
        ys - slant + np.floor(slant * (xs + 0.5) / COLS + 0.5) < ROWS
    )
    return Face("cover", (0.0, float(slant)), (float(COLS), float(-slant)), (0.0, float(ROWS)), True, inside)


def painted(ink: np.ndarray, shade: tuple[int, int, int]) -> np.ndarray:
    rgb = np.full((*ink.shape, 3), LEATHER, np.uint8)
    rgb[ink] = shade
    return srgb_to_lab(rgb)


def drawn(text: str, *, slant: int = 0) -> np.ndarray:
    """Pixels of "#" in a drawing, each column moved as the slanted cover's is."""
    flat = np.array([[c == "#" for c in row] for row in text.split()])
    out = np.zeros((ROWS + slant, COLS), bool)
    for column in range(COLS):
        rise = slant - int(np.floor(slant * (column + 0.5) / COLS + 0.5))
        out[rise : rise + ROWS, column] = flat[:, column]
    return out


@pytest.mark.parametrize("shade", [DARKER, LIGHTER])
def test_lines_of_letters_and_an_emblem_are_told_from_their_ground(shade):
    face, ink = cover(), drawn(LETTERED)
    lettering, emblem = marks(face.mask, face, painted(ink, shade))
    np.testing.assert_array_equal(lettering, ink & (np.indices(ink.shape)[0] < 6))
    np.testing.assert_array_equal(emblem, ink & (np.indices(ink.shape)[0] > 6))


def test_letters_are_found_on_a_slanted_cover():
    face, ink = cover(slant=4), drawn(LETTERED, slant=4)
    found = np.logical_or.reduce(marks(face.mask, face, painted(ink, DARKER)))
    assert (found & ink).sum() >= 0.8 * ink.sum()
    assert not (found & ~ink).any()


def light_from_one_side() -> np.ndarray:
    ys, xs = np.indices((ROWS, COLS))
    return (xs + ys < 12) | ((xs + ys < 16) & ((xs + ys) % 2 == 0))


def bevel() -> np.ndarray:
    ys, xs = np.indices((ROWS, COLS))
    return (xs < 2) | (ys < 2)


def checkerboard() -> np.ndarray:
    ys, xs = np.indices((ROWS, COLS))
    return (xs + ys) % 2 == 0


def ribs() -> np.ndarray:
    """Rows of dashes from edge to edge, as of scales or ribbed cloth."""
    ys, xs = np.indices((ROWS, COLS))
    return (ys % 3 == 0) & ((xs + ys // 3 * 2) % 4 != 0)


@pytest.mark.parametrize("texture", [light_from_one_side, bevel, checkerboard, ribs])
def test_light_and_regular_texture_are_no_marks(texture):
    face = cover()
    for shade in (DARKER, LIGHTER):
        assert marks(face.mask, face, painted(texture(), shade)) == ()


def test_strewn_specks_are_seldom_marks():
    """Specks on an eighth of the pixels, at random: of two hundred covers hardly one looks lettered."""
    face, rng = cover(), np.random.default_rng(5)
    taken = sum(
        bool(marks(face.mask, face, painted(rng.random(face.mask.shape) < 0.12, DARKER))) for _ in range(200)
    )
    assert taken <= 6


@given(st.lists(st.lists(st.booleans(), min_size=COLS, max_size=COLS), min_size=ROWS, max_size=ROWS))
def test_every_pixel_of_the_ink_lies_in_one_thing_at_most(rows):
    ink = np.array(rows)
    found = lay_out(ink, cover())
    parts = [*found.lines, *found.figures, found.stray]
    assert (np.sum(parts, axis=0) <= ink).all()


def test_lettering_of_drawn_books_is_found_and_their_texture_is_not():
    """Books of known truth along their true boxes, seeds that no threshold was set on."""
    from pixel2make.regions import segment
    from tests.bench.fit_features import true_faces, true_view
    from tests.truth.books import make
    from tests.truth.score import sprite_of

    right = wrong = lost = 0
    for seed in range(9000, 9060):
        book = make(seed, "chapbook", 32)
        regions = segment(sprite_of(book))
        face = next(f for f in true_faces(book, true_view(book), regions) if f.name == "cover")
        lab = srgb_to_lab(regions.sprite.rgba[..., :3])
        is_mark = np.isin(book.features, ("title_area", "emblem"))
        for region in regions.regions:
            piece = regions.mask(region.id) & face.mask
            if region.is_contour or 2 * piece.sum() < face.mask.sum():
                continue
            found = np.logical_or.reduce([np.zeros_like(piece), *marks(piece, face, lab)])
            right += int((found & is_mark).sum())
            wrong += int((found & ~is_mark).sum())
            lost += int((piece & is_mark & ~found).sum())
    assert right > 0.8 * (right + wrong)
    assert right > 0.4 * (right + lost)
