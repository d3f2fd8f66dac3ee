"""Opaque glow and cast shadow, against drawings of known truth and against the geometry of boxes."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import binary_dilation

from pixel2make import kinds
from pixel2make.reading import Overrides, View, interpret
from pixel2make.regions import segment
from pixel2make.regions.halo import box_likeness
from tests.truth.books import HELD_OUT, TEST_SEEDS, TUNING, make
from tests.truth.halos import HALOS, with_opaque_halo
from tests.truth.model import Drawn
from tests.truth.score import sprite_of

LINED = ("black", "dark", "coloured", "shifted")
"""Contours that run all the way round."""


def painted(drawn: Drawn):
    return (drawn.features == "background") & (drawn.rgba[..., 3] == 255)


def found(drawn: Drawn):
    regions = segment(sprite_of(drawn))
    out = np.zeros(drawn.features.shape, bool)
    for halo in regions.halo:
        out |= halo.mask
    return regions, out


@given(st.tuples(*[st.tuples(st.integers(-14, 14), st.integers(-14, 14))] * 3))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_every_parallel_projection_of_a_box_looks_like_a_box(edges):
    """Three edge vectors span a zonotope, convex and centrally symmetric (Coxeter, Regular Polytopes)."""
    u, v, t = (np.array(e, float) for e in edges)
    area = sum(abs(a[0] * b[1] - a[1] * b[0]) for a, b in ((u, v), (v, t), (t, u)))
    reach = np.abs(np.stack([u, v, t])).sum(0)
    if area < 260 or reach.min() < 8:
        return
    grid = np.stack(np.meshgrid(*[np.linspace(0.005, 0.995, 100)] * 2), -1).reshape(-1, 2)
    faces = [
        grid[:, :1] * a + grid[:, 1:] * b + far
        for a, b, c in ((u, v, t), (v, t, u), (t, u, v))
        for far in (0, c)
    ]
    points = np.concatenate(faces)
    at = np.floor(points - points.min(0) + 1e-9).astype(int)
    mask = np.zeros(at.max(0)[::-1] + 1, bool)
    mask[at[:, 1], at[:, 0]] = True
    assert box_likeness(mask) > 0.85


@given(st.integers(0, 10**6))
@settings(max_examples=30, deadline=None)
def test_likeness_does_not_know_up_from_down(seed):
    rng = np.random.default_rng(seed)
    mask = rng.random((9, 12)) < 0.6
    mask[4, 4] = True
    turned = [mask[::-1], mask[:, ::-1], mask.T, mask[::-1, ::-1]]
    for other in turned:
        assert box_likeness(other) == pytest.approx(box_likeness(mask), abs=1e-9)
    assert 0 < box_likeness(mask) <= 1


def test_books_without_a_halo_keep_all_their_pixels():
    """In all but a few of a hundred drawings, held-out styles too."""
    alarms = [
        bool(segment(sprite_of(make(seed, style, size))).halo)
        for style, size, seed in itertools.product((*TUNING, *HELD_OUT), (16, 28), TEST_SEEDS[:6])
    ]
    assert np.mean(alarms) < 0.05


@pytest.mark.parametrize("kind", HALOS)
def test_opaque_halos_are_background(kind):
    """Where a line runs all round the book, or the halo breaks the box; hardly a book's pixel is lost."""
    hits, lost = [], []
    for style, size, seed in itertools.product(HELD_OUT, (16, 28), TEST_SEEDS[:7]):
        drawn = make(seed, style, size)
        if drawn.habits["contour"] not in LINED:
            continue
        drawn = with_opaque_halo(drawn, kind)
        _, mask = found(drawn)
        true = painted(drawn)
        book = ~true & (drawn.rgba[..., 3] == 255)
        if (
            kind == "offset shadow"
            and (true & ~binary_dilation(book, np.ones((3, 3)))).sum() < true.sum() / 3
        ):
            continue  # A shadow one pixel broad is a thicker line to the eye.
        hits.append((mask & true).sum() / true.sum() > 0.5)
        lost.append((mask & ~true).sum() / book.sum())
    assert np.mean(hits) > {"flames": 0.75, "collar": 0.75, "pool": 0.5, "offset shadow": 0.4}[kind]
    assert np.mean(lost) < 0.05


def test_a_halo_is_a_patch_that_a_plan_can_name():
    drawn = with_opaque_halo(make(3, "icon", 24), "flames")
    regions, mask = found(drawn)
    assert mask.any()
    assert (regions.labels[mask] == 0).all()
    assert regions.sprite.background[mask].all()
    view = View(drawn.kind, 1.0, drawn.box.origin, drawn.box.u, drawn.box.v, drawn.box.t)
    book = kinds.find("book")
    reading = interpret(regions, book, Overrides(view=view))
    patch = reading.patch("r0.glow")
    assert patch.feature == "background"
    assert patch.why
    assert any("glow" in note for note in reading.notes)
    covered = np.sum([p.mask for p in reading.patches], axis=0)
    assert (covered == 1).all()
    named = interpret(regions, book, Overrides(view=view, features=(("r0.glow", "other"),)))
    assert named.patch("r0.glow").feature == "other"
    assert named.patch("r0.glow").origin == "maker"
