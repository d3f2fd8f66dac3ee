"""Strength of clasps: formulas against worked examples and what defines them; the pull; the advice."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from pixel2make.design import dimension
from pixel2make.kinds.book.build import BookBuild
from pixel2make.kinds.book.metalwork import beams
from pixel2make.kinds.book.metalwork.strength import loads, pull_n
from tests.design import catalogue
from tests.pack.clasps import FORMS, gauge_of, site_of

KIND = BookBuild()
lengths = st.floats(0.5, 200)
forces = st.floats(1, 500)


def test_a_published_joint_in_shear():
    """Shigley's Mechanical Engineering Design, 9th ed., p. 453-454: 1 x 4 in bars and four 3/4 in bolts.

    Design factor 1.5; 85 kpsi for the bolts, 54 kpsi for the bars. Its loads: 85 and 54 kip in bearing,
    57.8 in shear, 93.5 with 1.125 in before the margin's holes, 90 across the holes; in kip and inch.
    """
    bolt, bar, factor = 85, 54, 1.5
    assert beams.bearing_mpa(85 / 2, 0.75, 1) == pytest.approx(bolt / factor, rel=2e-3)
    assert beams.bearing_mpa(54 / 2, 0.75, 1) == pytest.approx(bar / factor, rel=2e-3)
    assert beams.round_shear_mpa(57.8, 0.75, planes=4) == pytest.approx(0.577 * bolt / factor, rel=2e-3)
    assert beams.tear_out_mpa(93.5 / 2, 1.125, 1) == pytest.approx(0.577 * bar / factor, rel=2e-3)
    assert beams.tension_mpa(90, 4 - 2 * 0.75, 1) == pytest.approx(bar / factor, rel=2e-3)


def test_a_published_snap_fit():
    """Snap-Fit Joints for Plastics, a design guide (Bayer MaterialScience), from memory: an even arm may be
    bent aside by y = 0.67 e l^2 / h, and the force for it is P = (b h^2 / 6) E e / l."""
    strain, length, thickness, width, modulus = 0.02, 19.0, 2.0, 9.5, 1815.0
    way = 0.67 * strain * length**2 / thickness
    assert beams.spring_strain(thickness, way, length) == pytest.approx(strain, rel=6e-3)
    force = width * thickness**2 / 6 * modulus * strain / length
    assert beams.flat_bending_mpa(force * length, width, thickness) == pytest.approx(modulus * strain)


@given(st.floats(1, 5000), lengths, st.floats(0.3, 6))
def test_bending_stress_balances_its_moment(moment, width, thickness):
    """What defines it: stress grows evenly from the middle, and its moment over the section is the moment."""
    middles = (np.arange(2000) + 0.5) / 2000 * thickness - thickness / 2
    strip = thickness / 2000
    stress = beams.flat_bending_mpa(moment, width, thickness) * middles / (thickness / 2)
    assert (stress * middles * width * strip).sum() == pytest.approx(moment, rel=1e-4)
    chord = 2 * np.sqrt((thickness / 2) ** 2 - middles**2)
    stress = beams.round_bending_mpa(moment, thickness) * middles / (thickness / 2)
    assert (stress * middles * chord * strip).sum() == pytest.approx(moment, rel=1e-3)


@given(forces, lengths)
def test_a_bar_between_fast_ends_stays_level_at_both(load, span):
    """What defines the end moment: the moments along the bar sum up to no turn from one end to the other."""
    x = (np.arange(2000) + 0.5) / 2000 * span
    free = load * x / 2 - load * x**2 / (2 * span)
    assert free.mean() == pytest.approx(beams.fixed_ends_nmm(load, span), rel=1e-4)


def test_the_pull_is_the_books_weight_held_by_one_cover():
    """Standard gravity (ISO 80000-3); three times the weight by common practice, shared by the clasps."""
    assert pull_n(2000.0, 1) == pytest.approx(2 * 9.80665 * 3)
    assert pull_n(2000.0, 2) == pytest.approx(9.80665 * 3)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("way", ["sheet", "print"])
@given(forces)
def test_stress_grows_with_the_pull_and_falls_with_the_sheet(form, way, pull):
    site = site_of(box(0, 0, 40, 24))
    once = {load.part: load for load in loads(form, site, gauge_of(way), pull)}
    twice = {load.part: load for load in loads(form, site, gauge_of(way), 2 * pull)}
    for part, load in once.items():
        if load.size != "spring":
            assert twice[part].stress_mpa == pytest.approx(2 * load.stress_mpa)


def test_the_size_that_is_said_to_hold_does_hold():
    """A heavy book with a thin sheet asked for: the finding's size, taken, leaves no such finding."""
    book = catalogue.book(*catalogue.CLASP)

    def weak(**choices):
        design = dimension(book, KIND, size_mm=300, choices={"clasp_form": "hooked_arm", **choices})
        return [f for f in design.findings if f.code == "clasp-too-weak" and "sheet metal" in f.sentence]

    found = weak(clasp_thickness="0.5mm")
    assert found
    holds = max(f.limit_mm for f in found if f.limit_mm is not None)
    assert math.isfinite(holds)
    assert not weak(clasp_thickness=f"{holds}mm")
