"""The generator of known truth against the theory of projection and its own promises."""

import numpy as np
import pytest

from tests.truth.books import HELD_OUT, STYLES, TUNING, make
from tests.truth.model import FACES, FEATURES, HIDDEN, VIEW_KINDS
from tests.truth.projection import RISES, gauss_ratio, gauss_residual, triples

SAMPLE = [(seed, style, size) for style in STYLES for seed, size in enumerate((10, 13, 16, 24, 32, 47, 64))]


@pytest.fixture(scope="module")
def drawings():
    return [make(*case) for case in SAMPLE]


def test_the_same_seed_gives_the_same_drawing():
    for case in SAMPLE[::5]:
        one, two = make(*case), make(*case)
        assert one.rgba.tobytes() == two.rgba.tobytes()
        assert one.features.tobytes() == two.features.tobytes()
        assert (one.ratio, one.box, one.habits) == (two.ratio, two.box, two.habits)


def test_every_pixel_has_one_feature_and_background_is_what_is_not_opaque(drawings):
    for drawn in drawings:
        assert drawn.features.shape == drawn.rgba.shape[:2]
        assert set(np.unique(drawn.features)) <= set(FEATURES)
        assert set(np.unique(drawn.faces)) <= {*FACES, HIDDEN}
        np.testing.assert_array_equal(drawn.background, drawn.rgba[..., 3] < 255)


def test_axonometric_drawings_obey_gauss(drawings):
    """Gauss's fundamental theorem of axonometry: (u/W)^2 + (v/H)^2 + (t/T)^2 = 0."""
    seen = 0
    for drawn in drawings:
        if drawn.kind == "axonometric":
            seen += 1
            assert gauss_residual(drawn.box.u, drawn.box.v, drawn.box.t, drawn.ratio) < 1e-9
    assert seen >= 5


def test_cover_corners_lie_in_the_picture(drawings):
    for drawn in drawings:
        rows, columns = drawn.rgba.shape[:2]
        assert (drawn.corners >= -1e-9).all()
        assert (drawn.corners <= np.add((columns, rows), 1e-9)).all()
        assert drawn.kind in VIEW_KINDS
        assert (drawn.box.t == (0.0, 0.0)) == (drawn.kind == "front") == (drawn.ratio[2] == 0)


def test_cover_pixels_lie_in_the_stated_cover(drawings):
    """By centres, in shapely's polygon of the four stated corners; and they nearly fill a plain one."""
    import shapely

    for drawn in drawings:
        ys, xs = np.nonzero((drawn.faces == "cover") & np.isin(drawn.features, ("cover", "border", "emblem")))
        face = shapely.Polygon(drawn.corners).buffer(1e-3)
        assert shapely.contains_xy(face, xs + 0.5, ys + 0.5).all()
        on_cover = int(((drawn.faces == "cover") & ~drawn.background).sum())
        assert on_cover > 0.6 * face.area
        assert on_cover < face.area + 0.6 * face.length


def test_side_faces_are_those_that_a_viewer_sees(drawings):
    """Their pixels lie on the far side of the cover's edge that they are named after."""
    beyond = {"fore_edge": (0, 1), "spine": (0, -1), "tail": (1, 1), "head": (1, -1)}
    for drawn in drawings:
        basis = np.array([drawn.box.u, drawn.box.v], float)
        for face, (axis, way) in beyond.items():
            ys, xs = np.nonzero(drawn.faces == face)
            place = (np.stack([xs + 0.5, ys + 0.5], 1) - drawn.box.origin) @ np.linalg.inv(basis)
            if len(xs):
                outward = way * (place[:, axis] - (way > 0))
                assert np.median(outward) > 0, (drawn.style, drawn.size, face)


def test_ornaments_stand_out_from_what_is_round_them(drawings):
    """Median colours differ by more than a just noticeable difference, CIEDE2000 about 1 (from memory)."""
    from skimage.color import deltaE_ciede2000, rgb2lab

    from tests.truth.raster import grow

    lab = [rgb2lab(drawn.rgba[..., :3]) for drawn in drawings]
    seen = 0
    for drawn, colours in zip(drawings, lab, strict=True):
        for word in ("title_area", "emblem", "strap", "clasp", "corner_piece", "border"):
            part = (drawn.features == word) & (drawn.faces == "cover")
            around = grow(part) & ~part & (drawn.features == "cover")
            if part.any() and around.any():
                seen += 1
                middles = [np.median(colours[mask], axis=0) for mask in (part, around)]
                assert deltaE_ciede2000(*middles) > 1.5, (drawn.style, drawn.seed, drawn.size, word)
    assert seen > 50


def test_every_view_and_feature_is_drawn_in_tuning_and_in_testing():
    for styles in (TUNING, HELD_OUT):
        some = [make(seed, style, 20) for style in styles for seed in range(0, 240, 16)]
        assert {drawn.kind for drawn in some} == set(VIEW_KINDS)
        assert set(np.concatenate([np.unique(drawn.features) for drawn in some])) == set(FEATURES)


def test_longest_side_is_at_most_the_size_asked_for(drawings):
    for drawn in drawings:
        ys, xs = np.nonzero(~drawn.background)
        longest = max(np.ptp(ys), np.ptp(xs)) + 1
        slack = 4 + (drawn.size // 9 if "bookmark" in drawn.habits else 0)
        assert drawn.size - slack <= longest <= drawn.size + 1


def test_isometric_cube_has_equal_edges():
    """Isometric axes at 30 degrees, drawn 1:1:1 (ISO 5456-3:1996): a cube."""
    c, s = np.sqrt(3) / 2, 0.5
    assert gauss_ratio((c, s), (-c, s), (0, 1)) == pytest.approx((1, 1, 1))


def test_isometric_edges_are_shortened_by_root_two_thirds():
    """True factor sqrt(2/3) = 0.81650 for each axis (ISO 5456-3:1996); the squares add up to 2."""
    edge = np.sqrt(2 / 3)
    axes = np.array([(edge * np.cos(np.radians(a)), edge * np.sin(np.radians(a))) for a in (30, 150, 270)])
    assert edge == pytest.approx(0.81650, abs=5e-6)
    assert (axes**2).sum() == pytest.approx(2)
    assert gauss_residual(*axes, (1.0, 1.0, 1.0)) < 1e-12


def test_two_to_one_cube():
    """Edges (16, 8): true edge 22.627 where the vertical is 19.596 (common practice, arithmetic)."""
    w, h, t = gauss_ratio((16, 8), (-16, 8), (0, 19.596))
    assert (w, h, t) == pytest.approx((1, 1, 1), rel=1e-5)
    assert np.hypot(16, 8) / 0.790569 == pytest.approx(22.627, abs=1e-3)
    assert np.hypot(16, 8) / 0.790569 * 0.866025 == pytest.approx(19.596, abs=1e-3)


def test_engineers_dimetric_is_one_to_one_to_half():
    """7 and 42 degrees, drawn 1:1:1/2 (ISO 5456-3:1996; exact angles 7.1805 and 41.4098, arithmetic)."""
    a, b = np.radians(7.1805), np.radians(41.4098)
    ratio = gauss_ratio((np.cos(a), np.sin(a)), (0, 1), (-0.5 * np.cos(b), 0.5 * np.sin(b)))
    assert ratio == pytest.approx((1, 1, 1), rel=1e-4)


def test_a_true_rectangle_with_a_slanted_thickness_is_no_orthographic_view():
    """A face parallel to the picture hides the third axis in an orthographic view (from memory)."""
    assert gauss_ratio((10, 0), (0, 14), (3, 3)) is None


def test_every_listed_direction_triple_has_a_box():
    for u, v, t in triples(RISES)[::7]:
        ratio = gauss_ratio(u, v, t)
        assert ratio is not None
        assert gauss_residual(u, v, t, ratio) < 1e-9


def test_styles_are_split_for_tuning_and_testing():
    assert len(TUNING) >= 5
    assert len(HELD_OUT) >= 2
    assert not set(TUNING) & set(HELD_OUT)


@pytest.mark.parametrize("style,size", [("none", 16), ("icon", 9), ("icon", 65)])
def test_what_cannot_be_drawn_is_refused(style, size):
    with pytest.raises(ValueError, match=r"style is one of|size is 10 to 64"):
        make(0, style, size)
