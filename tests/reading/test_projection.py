"""Proportions against standards, handbook arithmetic and real rotations."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pixel2make.reading.model import View
from pixel2make.reading.proj_shape import ShapeTable
from pixel2make.reading.projection import proportions, scale_factors, solve_axonometry


@dataclass(frozen=True)
class Usual:
    """Log-normal round W/H 0.72 and T/H 0.2 (estimate)."""

    source: str = "estimate for tests"

    def log_density(self, w_over_h: float, t_over_h: float | None) -> float:
        out = -((math.log(w_over_h / 0.72) / 0.25) ** 2) / 2
        return out - ((math.log(t_over_h / 0.2) / 0.6) ** 2) / 2 if t_over_h else out


def rotated(angles: tuple[float, float, float]) -> np.ndarray:
    """Drawn unit edges (3, 2) of a cube turned about three axes and seen along z."""
    a, b, c = angles
    rx = np.array([[1, 0, 0], [0, math.cos(a), -math.sin(a)], [0, math.sin(a), math.cos(a)]])
    ry = np.array([[math.cos(b), 0, math.sin(b)], [0, 1, 0], [-math.sin(b), 0, math.cos(b)]])
    rz = np.array([[math.cos(c), -math.sin(c), 0], [math.sin(c), math.cos(c), 0], [0, 0, 1]])
    return (rz @ ry @ rx)[:2].T


def grip(edges: np.ndarray) -> float:
    """How far a unit cube's drawing is from views in which two edges fall together or at a right angle."""
    pairs = [(edges[i], edges[j]) for i, j in ((0, 1), (1, 2), (0, 2))]
    return min(min(abs(a @ b), abs(a[0] * b[1] - a[1] * b[0])) for a, b in pairs)


ANGLES = st.tuples(*[st.floats(0.0, 2 * math.pi)] * 3)
LENGTHS = st.tuples(st.floats(0.3, 1.5), st.just(1.0), st.floats(0.05, 1.0))


@given(ANGLES, LENGTHS, st.floats(1.0, 60.0))
def test_a_turned_box_comes_back(angles, lengths, scale):
    """Drawing by a rotation matrix and solving is a round trip."""
    edges = rotated(angles) * np.array(lengths)[:, None] * scale
    assume(grip(rotated(angles)) > 0.02)
    found = solve_axonometry(*edges)
    assert found is not None
    np.testing.assert_allclose(found, lengths, rtol=1e-6)


@given(ANGLES)
def test_squared_factors_add_up_to_two(angles):
    """s1^2 + s2^2 + s3^2 = 2 in any orthographic axonometry (Gauss's theorem, arithmetic)."""
    edges = rotated(angles)
    assume(grip(edges) > 0.02)
    factors = scale_factors(*edges)
    assert factors is not None
    assert sum(f * f for f in factors) == pytest.approx(2.0, rel=1e-9)
    np.testing.assert_allclose(factors, np.hypot(*edges.T), rtol=1e-6)


@given(ANGLES, LENGTHS, st.floats(0.1, 10.0))
def test_size_turn_and_signs_of_the_drawing_do_not_matter(angles, lengths, scale):
    edges = rotated(angles) * np.array(lengths)[:, None]
    assume(grip(rotated(angles)) > 0.02)
    quarter = edges @ np.array([[0, 1], [-1, 0]])
    mirrored = edges * [-1, 1]
    for other in (edges * scale, quarter, mirrored, -edges):
        np.testing.assert_allclose(solve_axonometry(*other), solve_axonometry(*edges), rtol=1e-6)


def test_isometric_is_equal_at_root_two_thirds():
    """ISO 5456-3:1996, isometric: axes 30, 90, 150 degrees, each shortened to sqrt(2/3) = 0.8165."""
    axes = [(math.cos(math.radians(a)), -math.sin(math.radians(a))) for a in (30, 150, 90)]
    assert solve_axonometry(*axes) == pytest.approx((1.0, 1.0, 1.0))
    assert scale_factors(*axes) == pytest.approx([0.81650] * 3, abs=5e-6)


def test_engineers_dimetric():
    """ISO 5456-3:1996, dimetric: 7.1805 and 41.4098 degrees, factors .942809, .942809, .471405."""
    long_, up, short = (
        (0.942809 * math.cos(math.radians(7.1805)), -0.942809 * math.sin(math.radians(7.1805))),
        (0.0, -0.942809),
        (-0.471405 * math.cos(math.radians(41.4098)), -0.471405 * math.sin(math.radians(41.4098))),
    )
    assert solve_axonometry(long_, up, short) == pytest.approx((1.0, 1.0, 1.0), rel=1e-4)
    assert scale_factors(long_, up, short) == pytest.approx((0.942809, 0.942809, 0.471405), rel=1e-4)


@pytest.mark.parametrize(
    ("u", "v", "t", "expected"),
    [
        # 2:1 slopes, camera raised 30 degrees, turned 45 (common practice): a cube's vertical is 19.596.
        ((16, 8), (0, 19.596), (-16, 8), (1.0, 1.0, 1.0)),
        # Ground edge 16 px across is 22.627 long, vertical 17 is 19.630 high: ratio .8675 (arithmetic).
        ((16, 8), (0, 17), (-16, 8), (1 / 0.8675, 1.0, 1 / 0.8675)),
    ],
)
def test_two_to_one_drawings(u, v, t, expected):
    assert solve_axonometry(u, v, t) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize(
    ("u", "v", "t"),
    [
        ((10, 0), (0, 14), (3, -3)),
        ((7, 7), (-5, 5), (0, 3)),
        ((10, 0), (20, 0), (0, 5)),
        ((10, 1), (10, 2), (10, 3)),
    ],
    ids=["upright_true_face", "true_face_on_a_corner", "two_edges_on_one_line", "all_within_a_right_angle"],
)
def test_no_orthographic_box_draws_like_this(u, v, t):
    assert solve_axonometry(u, v, t) is None


def view(kind, u, v, t, uncertainty=0.3, strip=None):
    return View(kind, 1.0, (2.0, 3.0), u, v, t, uncertainty, strip_px=strip)


def by_name(found, name):
    return next(p for p in found if p.name == name)


def test_cabinet_and_cavalier():
    """Depth 60 is drawn (21.21, 21.21) in cabinet and (42.43, 42.43) in cavalier; US Army engineer drafting
    course EN01136, ISO 5456-3:1996."""
    half = proportions(view("oblique", (75, 0), (0, 100), (21.2132, -21.2132)), Usual())
    assert by_name(half, "cabinet").ratio == pytest.approx((0.75, 1.0, 0.60), rel=1e-4)
    full = proportions(view("oblique", (75, 0), (0, 100), (42.4264, -42.4264)), Usual())
    assert by_name(full, "cavalier").ratio == pytest.approx((0.75, 1.0, 0.60), rel=1e-4)


def test_depth_of_three_steps_has_three_readings():
    """(3, 3) px: 3.0 counted, 4.243 cavalier, 8.485 cabinet (common practice)."""
    found = proportions(view("oblique", (8, 0), (0, 10), (3, 3)), Usual())
    depths = {p.name: p.ratio[2] * 10 for p in found}
    assert depths["counted"] == pytest.approx(3.0)
    assert depths["cavalier"] == pytest.approx(4.243, abs=1e-3)
    assert depths["cabinet"] == pytest.approx(8.485, abs=1e-3)


def test_flat_face_on_a_corner():
    """(7, 7) by (-5, 5): 9.899 x 7.071, ratio 1.4 (common practice)."""
    found = proportions(view("front", (-5, 5), (7, 7), None), Usual())
    assert found[0].ratio == pytest.approx((1 / 1.4, 1.0, 0.0))


def test_flat_lengths_hold_one_pixel_either_way():
    """n 10 of N 14: (n - 1)/(N + 1) to (n + 1)/(N - 1), both ends free (common practice)."""
    first = proportions(view("front", (10, 0), (0, 14), None), Usual())[0]
    assert first.low[0] <= 9 / 15 and first.high[0] >= 11 / 13
    assert first.low[2] == first.high[2] == 0.0


def test_two_flat_strips_are_one_thickness():
    """Both strips show the same thickness; the mean of both is taken (common practice)."""
    found = proportions(view("front_with_edges", (20, 0), (0, 26), (-2, 0), strip=(0, 3)), Usual())
    assert found[0].ratio[2] * 26 == pytest.approx(2.5, abs=1e-4)


@given(ANGLES, LENGTHS, st.floats(12.0, 40.0), st.floats(0.1, 0.6))
def test_alternatives_are_weighed_and_bounded(angles, lengths, scale, uncertainty):
    edges = (rotated(angles) * np.array(lengths)[:, None] * scale).tolist()
    assume(min(math.hypot(*e) for e in edges) > 1.0 and grip(rotated(angles)) > 0.02)
    found = proportions(view("axonometric", *map(tuple, edges), uncertainty), Usual())
    assert sum(p.weight for p in found) == pytest.approx(1.0, abs=1e-4)
    assert [p.weight for p in found] == sorted((p.weight for p in found), reverse=True)
    for p in found:
        assert all(a <= b <= c for a, b, c in zip(p.low, p.ratio, p.high, strict=True))
        assert p.why.endswith(".") and p.source


def test_more_uncertain_pixels_give_wider_intervals():
    wide, narrow = (
        proportions(view("axonometric", (16, 8), (0, 17), (-4, 2), s), Usual())[0] for s in (0.6, 0.2)
    )
    assert wide.high[0] - wide.low[0] > narrow.high[0] - narrow.low[0]


def test_intervals_hold_the_truth():
    """Vectors moved by their stated uncertainty: at least 90 of 100 intervals hold the true ratio."""
    rng = np.random.default_rng(4)
    held, count = 0, 150
    edges = np.array([(16.0, 8.0), (0.0, 24.0), (-4.0, 2.0)])
    true = solve_axonometry(*edges)
    for _ in range(count):
        ends = rng.uniform(-0.5, 0.5, (4, 2))
        u, v, t = (tuple(e + ends[i] - ends[3]) for i, e in enumerate(edges))
        first = by_name(proportions(view("axonometric", u, v, t, 0.29), Usual()), "orthographic")
        held += all(first.low[i] <= true[i] <= first.high[i] for i in (0, 2))
    assert held >= 0.9 * count


@given(st.floats(0.25, 4.0), st.floats(0.03, 2.0))
def test_the_table_follows_the_prior(w, d):
    """Within the table's half step of 3.5 % and 5.5 % the density moves by less than half a nat here."""
    table = ShapeTable(Usual())
    exact = max(Usual().log_density(w, d), -8.0)
    assert table.log_density(np.array([[w, d]]))[0] == pytest.approx(exact, abs=1.0)
