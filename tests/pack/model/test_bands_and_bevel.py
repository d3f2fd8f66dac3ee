"""Bands and bevels of the model: the volumes and extents that geometry gives them, nothing left floating."""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import gamma

from pixel2make.design.model import Area
from pixel2make.pack.model.build import model_of
from pixel2make.pack.ribs import ribs
from tests.pack.catalogue import SIZES, book, chosen


def with_lengths(design, **lengths):
    kept = [d for d in design.dimensions if d.name not in lengths]
    return replace(design, dimensions=(*kept, *(chosen(name, mm) for name, mm in lengths.items())))


def banded(design, *places, width=6.0, rise=3.0):
    named = {f"band_{i}_from_head": mm for i, mm in enumerate(places, 1)}
    return with_lengths(design, band_width=width, band_rise=rise, **named)


def bevelled(design, width, depth):
    return with_lengths(design, bevel_width=width, bevel_depth=depth)


def solids(design, name):
    return [s for s in model_of(design).solids if s.name.startswith(name)]


@pytest.mark.parametrize("name", SIZES)
def test_bands_and_bevels_are_closed_bodies(name):
    design = book(**SIZES[name])
    height = design.dimension("cover_height").value_mm
    design = bevelled(banded(design, height / 4, height / 2, rise=1.0), height / 50, 0.4)
    for solid in model_of(design).solids:
        mesh = trimesh.Trimesh(solid.vertices, solid.faces, process=False)
        assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0, solid.name


@given(st.lists(st.floats(20, 220), min_size=1, max_size=6, unique=True), st.floats(2, 12), st.floats(0.4, 5))
@settings(max_examples=30, deadline=None)
def test_a_band_stands_where_and_as_far_out_as_the_design_says(places, width, rise):
    """From the head of the boards; the model counts y from the tail, and x = 0 is the smooth spine."""
    design = banded(book(clasps=0), *places, width=width, rise=rise)
    height = design.dimension("cover_height").value_mm
    found = sorted(solids(design, "band_"), key=lambda s: -s.vertices[:, 1].mean())
    assert len(found) == len(places)
    for solid, place in zip(found, sorted(places), strict=True):
        low, high = solid.vertices.min(axis=0), solid.vertices.max(axis=0)
        assert low[0] == pytest.approx(-rise, abs=1e-6)
        assert (low[1] + high[1]) / 2 == pytest.approx(height - place, abs=1e-6)
        assert high[1] - low[1] == pytest.approx(width, abs=1e-6)
        assert low[2] >= -1e-9 and high[2] <= design.dimension("book_thickness").value_mm + 1e-9


@pytest.mark.parametrize("exponent", [2.0, 4.0])
def test_the_section_of_a_band_has_the_area_of_its_curve(exponent):
    """Area of a half superellipse: 2 a b gamma(1 + 1/n)^2 / gamma(1 + 2/n) (Gridgeman 1970; for n = 2 the
    half ellipse, pi a b / 2)."""
    rib = replace(ribs(banded(book(), 100.0))[0], exponent=exponent)
    points = rib.profile(4000)
    area = abs(np.trapezoid(points[:, 0], points[:, 1]))
    a, b = rib.foot_mm / 2, rib.rise_mm
    assert area == pytest.approx(2 * a * b * gamma(1 + 1 / exponent) ** 2 / gamma(1 + 2 / exponent), rel=1e-4)


def test_a_smooth_spine_has_no_ribs():
    assert ribs(book()) == ()
    assert not solids(book(), "band_")


@given(st.floats(2, 14), st.floats(0.3, 1.0))
@settings(max_examples=25, deadline=None)
def test_a_bevel_takes_its_prismatoid_off_the_board(width, depth):
    """Prismoidal formula h / 6 (A0 + 4 Am + A1) for what the slope leaves; the spine edge stays upright.

    The covering rounds the foot of the slope over about its own thickness, here 1 mm: so much of the breadth
    goes down the whole depth.
    """
    plain = book(clasps=0, radius=0.0)
    square = solids(plain, "front_board")[0]
    sloped = solids(bevelled(plain, width, depth), "front_board")[0]
    low, high = square.vertices.min(axis=0), square.vertices.max(axis=0)
    assert sloped.vertices.min(axis=0) == pytest.approx(low, abs=1e-6)
    assert sloped.vertices.max(axis=0) == pytest.approx(high, abs=1e-6)
    across, along, _ = high - low
    areas = [(across - s * width) * (along - 2 * s * width) for s in (0.0, 0.5, 1.0)]
    wedge = depth * (areas[0] - (areas[0] + 4 * areas[1] + areas[2]) / 6)
    taken = square.volume_mm3 - sloped.volume_mm3
    assert taken == pytest.approx(wedge, rel=0.05 + 1.3 / width)


def test_the_edge_along_the_spine_is_not_bevelled():
    """It is only as round as the covering of 1 mm makes it."""
    sloped = solids(bevelled(book(clasps=0), 9.0, 1.0), "front_board")[0]
    top = sloped.vertices[np.isclose(sloped.vertices[:, 2], sloped.vertices[:, 2].max())]
    low, high = sloped.vertices.min(axis=0), sloped.vertices.max(axis=0)
    assert top[:, 0].min() - low[0] == pytest.approx(1.2)
    assert high[0] - top[:, 0].max() == pytest.approx(9.0)
    assert top[:, 1].min() - low[1] == pytest.approx(9.0)


def test_gilding_on_a_bevel_lies_on_its_slope():
    from shapely.geometry import box

    design = bevelled(book(clasps=0, radius=0.0), 12.0, 1.0)
    height, thick = design.dimension("cover_height").value_mm, design.dimension("book_thickness").value_mm
    width = design.dimension("cover_width").value_mm
    strip = Area("border-9", "border", "cover", "gilded", "#ffcc00", box(60, 0, 80, height), "a strip")
    placed = solids(replace(design, areas=(strip,)), "border-9")
    points = np.concatenate([s.vertices for s in placed])
    for inset in (3.0, 6.0, 9.0):
        near = points[np.abs(points[:, 1] - inset) < 2.0]
        level = thick - 1.0 * (1 - inset / 12.0)
        assert near[:, 2].max() == pytest.approx(level + 0.3, abs=0.35)
    assert math.isclose(points[:, 2].max(), thick + 0.3)
    assert points[:, 0].max() < width
