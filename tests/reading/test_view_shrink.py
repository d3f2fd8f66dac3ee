"""A large drawing is searched on a coarser grid and comes back in its own pixels."""

import numpy as np
import pytest

from pixel2make import kinds
from pixel2make.reading import interpret
from pixel2make.reading.view_shrink import shrink_factor, shrunk
from pixel2make.regions import segment
from pixel2make.sprite.model import Sprite


def book(height):
    """A red cover 0.7 as wide as high with a strip of pages a tenth as wide, one pixel of contour."""
    width, strip = round(0.7 * height), round(0.1 * height)
    rgba = np.zeros((height + 6, width + strip + 6, 4), np.uint8)
    rgba[2:-2, 2:-2] = (24, 18, 30, 255)
    rgba[3:-3, 3 : 3 + width] = (150, 44, 52, 255)
    rgba[3:-3, 3 + width : -3] = (236, 226, 200, 255)
    return Sprite("b.png", "0" * 64, rgba, rgba[..., 3] == 0), (width, height, strip)


@pytest.mark.parametrize("height", [60, 150, 240])
def test_a_flat_book_of_any_size_keeps_its_corners(height):
    sprite, (width, height, _) = book(height)
    regions = segment(sprite)
    factor = shrink_factor(regions)
    view = interpret(regions, kinds.find("book")).view
    assert view.kind == "front_with_edges"
    true = np.array([(3, 3), (3 + width, 3), (3 + width, 3 + height), (3, 3 + height)])
    assert np.abs(np.array(view.cover_corners_px) - true).max() <= 1.5 * factor
    assert view.uncertainty_px >= 0.25 * factor


def test_small_drawings_are_searched_as_they_are():
    assert shrink_factor(segment(book(60)[0])) == 1


def test_a_block_takes_its_most_frequent_label():
    sprite, _ = book(150)
    regions = segment(sprite)
    small = shrunk(regions, 3)
    rows, columns = small.labels.shape
    for row in range(0, rows, 7):
        for column in range(0, columns, 7):
            block = regions.labels[3 * row : 3 * row + 3, 3 * column : 3 * column + 3]
            values, counts = np.unique(block, return_counts=True)
            colors = {r.id: r.color for r in small.regions} | {0: None}
            wanted = {r.id: r.color for r in regions.regions} | {0: None}
            if block.size == 9:
                assert colors[small.labels[row, column]] == wanted[values[np.argmax(counts)]]
