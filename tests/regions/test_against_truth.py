"""Regions of drawn books whose every pixel is known: styles and seeds that no threshold was set on."""

from __future__ import annotations

import numpy as np
import pytest

from pixel2make.regions import segment
from pixel2make.sprite.model import Sprite
from tests.truth.books import HELD_OUT, TUNING, make

STYLES = sorted({*HELD_OUT, *TUNING})
SEEDS = range(10000, 10012)
SIZES = (16, 20, 24, 28, 32)
LEATHER = ("cover", "spine", "back_cover", "border")
"""Cover, spine and back are of one leather, a border is tooled into it: one region may hold them all."""

FEW_COLOURS = {"quartet"}
"""Where four colours draw everything, leather and metal often share one, and no eye for colour parts them."""


def drawn_and_found(style):
    for seed in SEEDS:
        drawn = make(seed, style, SIZES[seed % len(SIZES)])
        yield drawn, segment(Sprite("drawn.png", "0" * 64, drawn.rgba, drawn.background))


def purity(drawn, regions):
    """Share of pixels outside the contour whose region is mostly of their own kind."""
    kind = np.where(np.isin(drawn.features, LEATHER), "leather", drawn.features)
    inside = ~drawn.background & (drawn.features != "outline") & ~regions.contour
    names, kind = np.unique(kind, return_inverse=True)
    table = np.zeros((regions.labels.max() + 1, len(names)), int)
    np.add.at(table, (regions.labels[inside], kind.reshape(inside.shape)[inside]), 1)
    return table.max(axis=1).sum() / inside.sum()


@pytest.mark.parametrize("style", STYLES)
def test_regions_hold_one_thing_each(style):
    shares = [purity(drawn, regions) for drawn, regions in drawn_and_found(style)]
    assert np.mean(shares) > (0.8 if style in FEW_COLOURS else 0.92)


@pytest.mark.parametrize("style", STYLES)
def test_the_contour_is_the_drawn_line(style):
    hits = found = true = 0
    for drawn, regions in drawn_and_found(style):
        line = drawn.features == "outline"
        hits += (line & regions.contour).sum()
        found += regions.contour.sum()
        true += line.sum()
    assert hits > (0.75 if style in FEW_COLOURS else 0.87) * found
    least = 0.75 if style in FEW_COLOURS else 0.87
    assert hits > least * true
