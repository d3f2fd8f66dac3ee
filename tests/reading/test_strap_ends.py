"""What a strap runs into, on drawings made for it and on books of known truth of the tuning styles."""

from __future__ import annotations

import numpy as np
import pytest

from pixel2make import api
from pixel2make.color import srgb_to_lab
from pixel2make.reading.faces import find_faces
from pixel2make.reading.model import Overrides, View
from pixel2make.reading.strap_ends import covered, strips
from pixel2make.regions import segment
from tests.bench.fit_features import true_faces, true_view
from tests.reading.drawn import LINE, regions_of
from tests.truth.books import TUNING, make
from tests.truth.score import sprite_of

COVER, STRAP, BRASS = (196, 160, 60), (70, 30, 90), (236, 206, 110)
FRONT = View("front", 1.0, (3.0, 2.0), (20.0, 0.0), (0.0, 26.0))


def front_with(clasp=True, *, strap=16, edge=False):
    """A front of 20 x 26 px with a strap that runs `strap` pixels from the spine, two rows broad."""
    rgba = np.zeros((30, 26, 4), np.uint8)
    rgba[1:29, 2:24] = (*LINE, 255)
    rgba[2:28, 3:23] = (*COVER, 255)
    if edge:
        rgba[2:28, 22, :3] = BRASS
    rgba[14:16, 3 : 3 + strap, :3] = STRAP
    if clasp:
        rgba[14:16, 3 + strap : 23, :3] = BRASS
    return rgba


@pytest.mark.parametrize("strap", [14, 16, 18])
def test_what_covers_a_strap_s_end_is_found_and_is_a_clasp(strap):
    """A strap ends in a clasp at the fore-edge (common practice of clasped bindings)."""
    rgba = front_with(strap=strap)
    regions = regions_of(rgba)
    cover = find_faces(FRONT, regions)[0]
    (part,) = covered(cover, srgb_to_lab(rgba[..., :3]), strips(regions, cover))
    at = (rgba[..., :3] == BRASS).all(-1)
    assert (part == at).all()
    reading = api.interpret(regions, overrides=Overrides(view=FRONT))
    (clasp,) = (feature for feature in reading.features if feature.feature == "clasp")
    assert (clasp.mask == at).all()


@pytest.mark.parametrize("edge", [False, True])
def test_bare_ground_beyond_a_strap_is_nothing(edge):
    """A lit edge of the board goes on above and below the strap."""
    rgba = front_with(clasp=False, edge=edge)
    regions = regions_of(rgba)
    cover = find_faces(FRONT, regions)[0]
    assert not any(part.any() for part in covered(cover, srgb_to_lab(rgba[..., :3]), strips(regions, cover)))


def test_a_strap_that_goes_round_the_fore_edge_ends_nowhere():
    regions = regions_of(front_with(clasp=False, strap=20))
    assert strips(regions, find_faces(FRONT, regions)[0]) == ()


def test_drawn_straps_run_into_clasps():
    """Books of known truth, true box given: at least nine of ten pixels found so are a clasp's."""
    right = total = 0
    for style in TUNING:
        for seed in range(9000, 9006):
            drawn = make(seed, style, 32)
            regions = segment(sprite_of(drawn))
            cover = true_faces(drawn, true_view(drawn), regions)[0]
            lab = srgb_to_lab(regions.sprite.rgba[..., :3])
            for part in covered(cover, lab, strips(regions, cover)):
                right += (drawn.features[part] == "clasp").sum()
                total += part.sum()
    assert total >= 20
    assert right >= 0.9 * total
