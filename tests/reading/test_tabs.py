"""Parts of a region that only their form tells apart, on drawings made for it."""

from __future__ import annotations

import numpy as np
import pytest

from pixel2make.color import srgb_to_lab
from pixel2make.reading.model import Face
from pixel2make.reading.tabs import lumps, medallions, tabs
from tests.truth.books import TUNING, make
from tests.truth.hands import few_colours, refastened, turned_hue

ROWS, COLS = 16, 12


def sheet(name: str = "cover") -> tuple[Face, np.ndarray, np.ndarray]:
    """A face that fills a picture of one leather brown."""
    mask = np.ones((ROWS, COLS), bool)
    face = Face(name, (0.0, 0.0), (float(COLS), 0.0), (0.0, float(ROWS)), True, mask)
    rgb = np.full((ROWS, COLS, 3), (120, 78, 44), np.uint8)
    return face, mask, rgb


@pytest.mark.parametrize("rows,cols", [(2, 2), (3, 2), (2, 4), (1, 2)])
def test_a_tab_at_the_fore_edge_is_told_from_its_ground(rows, cols):
    face, mask, rgb = sheet()
    at = np.zeros_like(mask)
    at[8 - rows // 2 : 8 - rows // 2 + rows, COLS - cols :] = True
    rgb[at] = (200, 150, 80)
    (found,) = tabs(mask, face, srgb_to_lab(rgb))
    assert (found == at).all()


def test_a_light_within_a_tab_belongs_to_it():
    face, mask, rgb = sheet("fore_edge")
    at = np.zeros_like(mask)
    at[6:10, 2:10] = True
    rgb[at] = (200, 150, 80)
    rgb[7, 5] = (120, 78, 44)
    (found,) = tabs(mask, face, srgb_to_lab(rgb))
    assert (found == at).all()


def test_a_lit_edge_and_texture_are_no_tabs():
    face, mask, rgb = sheet()
    rgb[:, -1] = (200, 150, 80)
    assert tabs(mask, face, srgb_to_lab(rgb)) == ()
    rng = np.random.default_rng(1)
    _, _, rgb = sheet()
    rgb[rng.random(mask.shape) < 0.2] = (150, 100, 60)
    assert tabs(mask, face, srgb_to_lab(rgb)) == ()
    assert medallions(mask, face, srgb_to_lab(rgb)) == ()


def test_a_medallion_is_told_from_its_ground():
    face, mask, rgb = sheet()
    ys, xs = np.indices(mask.shape)
    at = np.abs(ys - 7.5) + np.abs(xs - 5.5) <= 3
    rgb[at] = (190, 140, 90)
    (found,) = medallions(mask, face, srgb_to_lab(rgb))
    assert (found == at).all()


def test_corner_pieces_and_a_clasp_on_a_frame_are_lumps():
    face, _, _ = sheet()
    frame = np.zeros((ROWS, COLS), bool)
    frame[0], frame[-1], frame[:, 0], frame[:, -1] = True, True, True, True
    clasp = np.zeros_like(frame)
    clasp[7:9, -3:] = True
    corner = np.zeros_like(frame)
    corner[:3, :3] = True
    found = lumps(frame | clasp | corner, face)
    assert len(found) == 2
    assert any((lump & corner).sum() >= 8 for lump in found)
    assert any((lump & clasp).sum() == clasp.sum() for lump in found)
    assert lumps(frame, face) == ()
    disc = np.zeros_like(frame)
    disc[6:10, 4:8] = True
    assert lumps(disc, face) == ()


@pytest.mark.parametrize("style", sorted(TUNING))
def test_other_hands_keep_the_book(style):
    """The changed drawings that the weights are made from still say truly what is where."""
    for seed in range(6):
        drawn = make(seed, style, 24)
        for change in (refastened, few_colours, turned_hue):
            changed = change(drawn)
            assert changed.rgba.shape == drawn.rgba.shape
            assert ((changed.rgba[..., 3] == 255) == (changed.features != "background")).all()
            moved = changed.features != drawn.features
            assert set(np.unique(changed.features[moved])) <= {"clasp"}
            again = change(drawn)
            assert (again.rgba == changed.rgba).all()
