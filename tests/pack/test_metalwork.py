"""Bent sheet, its flat pattern and the mechanisms of the forms, against handbook values and two libraries."""

import io
import math
from dataclasses import replace

import manifold3d
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from pixel2make.design.bed import Bed
from pixel2make.geometry.folded import Fold, Panel, bend_allowance, bend_deduction, flat_pattern, panels
from pixel2make.geometry.pieces import Sheet
from pixel2make.geometry.solids import Solid, bent_back, sheet_solid, turned_solid
from pixel2make.kinds.book.metalwork.fit import clashes, is_held
from pixel2make.kinds.book.metalwork.relief import relief_mm
from pixel2make.pack.meshes.lay import laid
from pixel2make.pack.meshes.split import split_to_fit
from pixel2make.pack.meshes.stl import stl_bytes
from tests.pack.clasps import FORMS, OUTLINES, gauge_of, site_of
from tests.pack.surfaces import surface_gap_mm

forms = pytest.mark.parametrize("form", FORMS)
ways = pytest.mark.parametrize("way", ["sheet", "print"])


def assert_closed(solid: Solid) -> None:
    """Watertight, wound outwards, of one volume in two libraries."""
    mesh = trimesh.Trimesh(solid.vertices, solid.faces, process=False)
    assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0
    body = solid.body()
    assert body.status() == manifold3d.Error.NoError
    assert body.volume() == pytest.approx(mesh.volume, rel=1e-6)


# ---- the arithmetic of bends


def test_published_straight_lengths():
    """Machinery's Handbook, 31st ed., p. 1421, Fig. 13: soft steel of 0.125 in, 180 degrees at 0.375 and 60
    degrees at 0.625 in, with 3.5 in straight: 5.545 in. Its coefficient 0.64 is K = 0.64 / (pi / 2)."""
    k = 0.64 / (math.pi / 2)
    around = bend_allowance(180, 0.375, 0.125, k)
    slanted = bend_allowance(60, 0.625, 0.125, k)
    assert around == pytest.approx(1.338, abs=2e-3)
    assert slanted == pytest.approx(0.707, abs=2e-3)
    assert 3.5 + around + slanted == pytest.approx(5.545, abs=2e-3)


@pytest.mark.parametrize(
    ("angle", "radius", "sheet", "k", "allowance", "deduction"),
    [
        (90, 1.0, 1.0, 0.4074366543, 2.210796, 1.789204),
        (90, 0.8, 0.8, 0.40, 1.759292, 1.440708),
        (120, 2.0, 1.0, 0.42, 5.068436, 5.323869),
    ],
)
def test_allowance_and_deduction(angle, radius, sheet, k, allowance, deduction):
    """BA = A (R + K t) and BD = 2 (R + t) tan(A / 2) - BA, worked by hand."""
    assert bend_allowance(angle, radius, sheet, k) == pytest.approx(allowance, abs=1e-6)
    assert bend_deduction(angle, radius, sheet, k) == pytest.approx(deduction, abs=1e-6)


def test_a_u_bracket_is_as_long_flat_as_the_sum_of_its_outsides_less_two_deductions():
    """18 + 26.8 + 18 outside in 0.8 mm sheet, K = 0.40: 59.9186 mm."""
    radius = sheet = 0.8
    leg = 18 - radius - sheet
    back = Panel("back", box(0, 0, leg, 12))
    across_mm = 26.8 - 2 * (radius + sheet)
    across = Panel(
        "across", box(0, 0, across_mm, 12), (Fold((across_mm, 0), (across_mm, 12), -90, radius, back),)
    )
    front = Panel("front", box(-leg, 0, 0, 12), (Fold((0, 0), (0, 12), -90, radius, across),))
    pattern = flat_pattern(front, sheet, 0.40)
    assert pattern.size_mm == pytest.approx((62.8 - 2 * (2 * 1.6 - math.pi / 2 * 1.12), 12), abs=1e-3)
    solid = sheet_solid(front, sheet)
    assert_closed(solid)
    low, high = solid.bounds
    assert high - low == pytest.approx([18, 12, 26.8], abs=1e-9)


@given(
    st.floats(3, 200),
    st.floats(3, 200),
    st.floats(0.4, 4),
    st.floats(0.3, 6),
    st.floats(5, 175),
    st.booleans(),
)
@settings(max_examples=60)
def test_an_angle_has_the_volume_of_its_two_plates_and_a_sector(length, width, sheet, radius, angle, is_up):
    """Closed form: plates, and a sector of the ring between R and R + t, its arcs as chords."""
    leg = Panel("leg", box(0, 0, length, width))
    turn = angle if is_up else -angle
    root = Panel("root", box(-length, 0, 0, width), (Fold((0, 0), (0, width), turn, radius, leg),))
    solid = sheet_solid(root, sheet)
    assert_closed(solid)
    sector = math.radians(angle) / 2 * ((radius + sheet) ** 2 - radius**2) * width
    wanted = 2 * length * width * sheet + sector
    assert solid.volume_mm3 == pytest.approx(wanted, rel=2e-3)


def test_a_turned_piece_has_the_volume_of_its_cylinders():
    solid = turned_solid(((0, 0), (1, 0), (1, 3), (2, 3), (2, 5), (0, 5)))
    assert_closed(solid)
    assert solid.volume_mm3 == pytest.approx(math.pi * (3 + 8), rel=4e-3)


# ---- the forms


@forms
@ways
@pytest.mark.parametrize("plate", OUTLINES.values(), ids=OUTLINES)
def test_every_piece_is_closed_and_bends_back_to_its_volume(form, way, plate):
    """Bending the flat pattern along its lines: what only one of the two has is a skin of a micrometre."""
    for piece in FORMS[form](site_of(plate), gauge_of(way)).pieces:
        solid = piece.shape.solid()
        assert_closed(solid)
        if not isinstance(piece.shape, Sheet):
            continue
        again = bent_back(piece.shape.flat())
        assert_closed(again)
        for a, b in ((solid.body(), again.body()), (again.body(), solid.body())):
            skin = abs((a - b).volume()) / a.surface_area()
            assert skin < 1e-3


@forms
@ways
@pytest.mark.parametrize("plate", ["hammer", "window"])
def test_a_pattern_bends_back_onto_the_solid_within_a_tenth_of_a_millimetre(form, way, plate):
    """No point on either surface is farther than that from the other, by a library of its own."""
    for piece in FORMS[form](site_of(OUTLINES[plate]), gauge_of(way)).pieces:
        if isinstance(piece.shape, Sheet):
            assert surface_gap_mm(piece.shape.solid(), bent_back(piece.shape.flat())) < 0.1


@forms
@ways
def test_a_pattern_with_a_wrong_neutral_line_does_not_bend_back(form, way):
    """That the test above can fail: with K a quarter off, what lies behind the bend comes out elsewhere."""
    mechanism = FORMS[form](site_of(OUTLINES["rectangle"]), gauge_of(way))
    piece = next(p for p in mechanism.pieces if isinstance(p.shape, Sheet) and p.shape.panel.folds)
    pattern = piece.shape.flat()
    wrong = type(pattern)(pattern.outline, pattern.bends, pattern.sheet_mm, pattern.k_factor + 0.25)
    assert surface_gap_mm(piece.shape.solid(), bent_back(wrong)) > 0.1


@forms
@ways
@pytest.mark.parametrize(("height", "thickness", "factor"), [(90, 18, 0.6), (300, 40, 1), (1000, 150, 3)])
def test_nothing_meets_closed_or_opening_and_a_pull_is_held(form, way, height, thickness, factor):
    plate = box(0, 0, max(40 * factor, 28), 24 * factor)
    site = site_of(plate, height=height, thickness=thickness)
    mechanism = FORMS[form](site, gauge_of(way))
    assert list(clashes(mechanism, site)) == []
    assert is_held(mechanism, site)
    assert mechanism.clear_mm >= 0.3


def test_a_clasp_for_a_thinner_book_clashes():
    """That the check above can fail."""
    plate = OUTLINES["rectangle"]
    tight = FORMS["hooked_arm"](site_of(plate, thickness=38.5), gauge_of("sheet"))
    assert list(clashes(tight, site_of(plate, thickness=40)))


@given(st.floats(90, 1000), st.floats(0.05, 0.4), st.floats(0.05, 0.12), st.sampled_from(sorted(FORMS)))
@settings(max_examples=15, deadline=None)
def test_any_size_gives_closed_pieces_that_do_not_meet(height, thick, wide, form):
    """From a palm book to one a metre high."""
    site = site_of(
        box(0, 0, max(0.1 * height, 30), max(wide * height, 12)),
        height=height,
        thickness=max(thick * height, 15),
    )
    for way in ("sheet", "print"):
        mechanism = FORMS[form](site, gauge_of(way))
        for piece in mechanism.pieces:
            assert_closed(piece.shape.solid())
        assert list(clashes(mechanism, site)) == []
        assert is_held(mechanism, site)


# ---- printing


@forms
def test_pieces_rest_on_a_flat_face_and_files_keep_them_closed(form):
    for piece in FORMS[form](site_of(OUTLINES["rectangle"]), gauge_of("print")).pieces:
        if piece.source != "made":
            continue
        lay = laid(piece.solid())
        assert lay.resting_mm2 > 20
        assert lay.solid.bounds[0] == pytest.approx([0, 0, 0], abs=1e-9)
        again = trimesh.load_mesh(io.BytesIO(stl_bytes(lay.solid)), file_type="stl")
        assert again.is_watertight
        assert again.volume == pytest.approx(lay.solid.volume_mm3, rel=1e-4)


def test_a_piece_longer_than_the_bed_is_split_with_a_key():
    bed = Bed(180, 180, 180)
    solid = sheet_solid(Panel("plate", box(0, 0, 400, 60)), 3.0)
    parts = split_to_fit(solid, bed, play_mm=0.4)
    assert len(parts) >= 3
    for part in parts:
        assert_closed(part)
        low, high = part.bounds
        assert bed.holds((high - low).tolist())
    # all of it but the play of the keys is there
    assert sum(part.volume_mm3 for part in parts) == pytest.approx(solid.volume_mm3, rel=0.01)
    assert sum(part.volume_mm3 for part in parts) < solid.volume_mm3


# ---- relief cuts


@forms
@pytest.mark.parametrize("metal_radius", [1.0, 2.0])
@pytest.mark.parametrize("plate", OUTLINES.values(), ids=OUTLINES)
def test_no_bend_ends_beside_flat_metal(form, metal_radius, plate):
    """Common practice: a bend's end is free for a sheet's thickness along it, so that the corner cannot tear.

    Looked at on each panel: beside either end of each bend, up to its line, there is no metal.
    """
    gauge = replace(gauge_of("sheet"), radius_mm=metal_radius)
    t = gauge.sheet_mm
    for piece in FORMS[form](site_of(plate), gauge).pieces:
        if not isinstance(piece.shape, Sheet) or piece.source != "made":
            continue
        for panel, _ in panels(piece.shape.panel, t):
            for fold in panel.folds:
                (nu, nv), (eu, ev) = fold.away, fold.along
                for (u, v), side in ((fold.start, -1), (fold.end, 1)):
                    corners = [
                        (u + side * eu * along - nu * back, v + side * ev * along - nv * back)
                        for along, back in (
                            (0.05, 0.05),
                            (0.9 * t, 0.05),
                            (0.9 * t, 0.9 * t),
                            (0.05, 0.9 * t),
                        )
                    ]
                    assert Polygon(corners).intersection(panel.outline).area < 1e-6, (piece.name, panel.name)


@given(st.floats(0.4, 4), st.floats(0.3, 6))
def test_a_relief_cut_is_as_wide_as_the_sheet_and_reaches_past_the_bend(sheet, radius):
    """Common practice: a thickness wide, a thickness and the inside radius deep."""
    assert relief_mm(sheet, radius) == pytest.approx((sheet, sheet + radius))
