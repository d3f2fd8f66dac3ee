"""The clasp's solid, its flat pattern and the STL file, against trimesh, manifold3d and a handbook."""

import io
import math
import struct

import manifold3d
import numpy as np
import pytest
import trimesh
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import unary_union
from shapely.affinity import affine_transform, translate
from shapely.geometry import Polygon, box

from demo_sprites.make import FOLDER, read_source
from pixel2make.errors import DesignError
from pixel2make.pack.meshes.flat import (
    bend_allowance,
    bend_deduction,
    check_pattern,
    flat_pattern,
)
from pixel2make.pack.meshes.fold import fold
from pixel2make.pack.meshes.plate import rooted_plate
from pixel2make.pack.meshes.solid import clasp_solid, print_lay
from pixel2make.pack.meshes.stl import stl_bytes
from tests.pack.clasps import OUTLINES, clasp_of

every_outline = pytest.mark.parametrize("plate", OUTLINES.values(), ids=OUTLINES)

# from a book for the palm (60 mm high) to one a metre high
lengths = st.floats(2.0, 250.0)
spans = st.floats(5.0, 300.0)
walls = st.floats(0.8, 4.0)


def body_of(vertices: np.ndarray, faces: np.ndarray) -> manifold3d.Manifold:
    """The same mesh in another library, which refuses one that is not closed."""
    mesh = manifold3d.Mesh(np.array(vertices, "f4", order="C"), np.array(faces, "u4", order="C"))
    body = manifold3d.Manifold(mesh)
    assert body.status() == manifold3d.Error.NoError
    return body


def manifold_volume(mesh: trimesh.Trimesh) -> float:
    """Volume by another library; its 32-bit mesh costs about a millionth."""
    return body_of(mesh.vertices, mesh.faces).volume()


def assert_closed(mesh: trimesh.Trimesh) -> None:
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0  # outward normals: the divergence theorem gives a positive volume
    edges = len(mesh.edges_unique)
    assert 3 * len(mesh.faces) == 2 * edges
    assert mesh.body_count == 1


# ---- the printed solid


@given(lengths, lengths, spans, walls)
def test_a_rectangular_clasp_has_the_volume_and_size_of_its_five_boxes(length, width, span, wall):
    """Closed form: two plates and the span with both its corners."""
    mesh = clasp_solid(clasp_of(box(0, 0, length, width), span=span, wall=wall))
    assert_closed(mesh)
    wanted = 2 * length * width * wall + wall * width * (span + 2 * wall)
    assert mesh.volume == pytest.approx(wanted, rel=1e-3)
    assert manifold_volume(mesh) == pytest.approx(mesh.volume, rel=1e-5)
    assert mesh.bounds[0] == pytest.approx([0, 0, 0], abs=1e-9)
    assert mesh.extents == pytest.approx([length + wall, span + 2 * wall, width], abs=2e-3)


@given(
    st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=1, max_size=14),
    st.floats(0.7, 30.0),
    st.floats(-1.0, 1.0),
    st.floats(-0.8, 0.8),
    spans,
)
def test_any_pixels_that_hang_together_make_a_closed_solid_and_a_pattern(pixels, pitch, shear, turn, span):
    """Pixels of a slanted sprite are parallelograms on the cover."""
    shape = unary_union([box(x, y, x + 1, y + 1) for x, y in pixels])
    assume(isinstance(shape, Polygon))
    across, along = pitch * math.sin(turn), pitch * math.cos(turn)
    shape = affine_transform(shape, (along, pitch * shear - across, across, along, 0, 0))
    plate = translate(shape, -shape.bounds[0], -shape.bounds[1])
    assume(plate.area > 0.1)
    clasp = clasp_of(plate, span=span, wall=1.2)
    mesh = clasp_solid(clasp)
    assert_closed(mesh)
    assert mesh.volume >= 2 * plate.area * 1.2 * (1 - 2e-3)
    again = trimesh.load_mesh(io.BytesIO(stl_bytes(mesh)), file_type="stl")
    assert again.is_watertight
    assert again.volume == pytest.approx(mesh.volume, rel=1e-4)
    if plate.bounds[2] > 0.9:
        bent = fold(flat_pattern(clasp))
        assert_closed(bent)
        assert bent.extents[0] == pytest.approx(plate.bounds[2] + 0.8, abs=0.1)
        assert bent.extents[2] == pytest.approx(span + 1.6, abs=0.1)


DRAWN = [path for path in sorted(FOLDER.glob("*.txt")) if " clasp\n" in path.read_text("utf-8")]


@pytest.mark.parametrize("path", DRAWN, ids=lambda p: p.stem)
@pytest.mark.parametrize("height", [60.0, 300.0, 1000.0])
def test_clasps_of_the_demo_sprites_can_be_made(path, height):
    """The drawn pixels laid on the cover by the stated corners, for a palm book to one a metre high."""
    source = read_source(path)
    pixels = [
        box(x, y, x + 1, y + 1)
        for y, row in enumerate(source.features)
        for x, feature in enumerate(row)
        if feature == "clasp"
    ]
    head_spine, head_fore, _, tail_spine = (np.array(c) for c in source.cover_corners_px)
    width = 0.75 * height
    (a, b), (d, e) = np.diag([width, height]) @ np.linalg.inv(
        np.column_stack((head_fore - head_spine, tail_spine - head_spine))
    )
    x, y = -(np.array([[a, b], [d, e]]) @ head_spine)
    drawn = affine_transform(unary_union(pixels), (a, b, d, e, x, y)).intersection(box(0, 0, width, height))
    inwards = affine_transform(drawn, (-1, 0, 0, 1, width, 0))
    largest = max(getattr(inwards, "geoms", [inwards]), key=lambda g: g.area)
    plate = translate(largest, -largest.bounds[0], -largest.bounds[1])
    clasp = clasp_of(plate, span=0.2 * height)
    printed, bent = clasp_solid(clasp), fold(flat_pattern(clasp))
    assert_closed(printed)
    assert_closed(bent)
    root = rooted_plate(clasp, least_depth_mm=2.0)
    wanted = 2 * root.outline.area * 2.0 + 2.0 * root.root_mm * (0.2 * height + 4.0)
    assert printed.volume == pytest.approx(wanted, rel=1e-4)
    assert bent.extents == pytest.approx(
        [plate.bounds[2] + 0.8, plate.bounds[3], 0.2 * height + 1.6], abs=0.1
    )


@every_outline
def test_every_outline_gives_a_solid_of_plates_and_span(plate):
    clasp = clasp_of(plate)
    mesh = clasp_solid(clasp)
    assert_closed(mesh)
    root = rooted_plate(clasp, least_depth_mm=2.0)
    wanted = 2 * root.outline.area * 2.0 + 2.0 * root.root_mm * (26.8 + 4.0)
    assert mesh.volume == pytest.approx(wanted, rel=1e-5)
    assert manifold_volume(mesh) == pytest.approx(wanted, rel=1e-5)
    assert mesh.bounds[0] == pytest.approx([0, 0, 0], abs=1e-9)


@every_outline
def test_plates_keep_their_outline(plate):
    """manifold3d cuts through the middle of either plate; in every lay they stand across y."""
    clasp = clasp_of(plate)
    mesh = clasp_solid(clasp)
    body = body_of(mesh.vertices[:, [2, 0, 1]], mesh.faces)
    found = [body.slice(at).area() for at in (1.0, float(mesh.bounds[1][1]) - 1.0)]
    root = rooted_plate(clasp, least_depth_mm=2.0)
    assert found == pytest.approx([root.outline.area + 2.0 * root.root_mm] * 2, rel=1e-5)


@every_outline
def test_stated_overhang_is_that_of_the_mesh(plate):
    """45 degrees and the bed, read from the faces: common practice for filament printers."""
    clasp = clasp_of(plate)
    mesh, lay = clasp_solid(clasp), print_lay(clasp)
    down = mesh.face_normals[:, 2]
    is_steep = down < -math.cos(math.radians(45.0)) - 1e-6
    is_above = mesh.triangles_center[:, 2] > 1e-6
    hanging = mesh.area_faces[is_steep & is_above].sum()
    assert (hanging > 1e-6) == (lay.overhang_mm > 0)


@pytest.mark.parametrize("name", ["rectangle", "l_shape", "one_pixel"])
def test_plain_plates_lie_on_their_side_and_need_no_support(name):
    lay = print_lay(clasp_of(OUTLINES[name]))
    assert (lay.name, lay.overhang_mm) == ("on its side", 0.0)


def test_an_l_that_is_wide_at_the_foot_of_the_page_is_turned_over():
    plate = Polygon([(0, 0), (6, 0), (6, 6), (18, 6), (18, 12), (0, 12)])
    assert print_lay(clasp_of(plate)).name == "on its other side"
    assert print_lay(clasp_of(plate)).overhang_mm == 0.0


def test_a_straight_fore_edge_gains_nothing_and_a_staircase_gets_a_root():
    straight = rooted_plate(clasp_of(OUTLINES["hammer"]), least_depth_mm=2.0)
    assert straight.outline.equals(OUTLINES["hammer"])
    assert (straight.low_mm, straight.high_mm) == (5.0, 10.0)
    stepped = rooted_plate(clasp_of(OUTLINES["stairs"]), least_depth_mm=2.0)
    assert (stepped.low_mm, stepped.high_mm) == (1.0, 8.0)
    assert stepped.outline.covers(box(0, 1, 2, 8))


@pytest.mark.parametrize("plate, message", [(Polygon(), "no area"), (box(0, 0, 1e-5, 1e-5), "no area")])
def test_a_plate_without_area_is_refused(plate, message):
    clasp = clasp_of(box(0, 0, 1, 1))
    object.__setattr__(clasp, "plate", plate)
    with pytest.raises(DesignError, match=message):
        clasp_solid(clasp)


def test_a_clasp_without_span_is_refused():
    with pytest.raises(DesignError, match="span 0 mm"):
        clasp_solid(clasp_of(OUTLINES["rectangle"], span=0.0))


# ---- STL (binary layout as trimesh, another library, reads it)


@every_outline
def test_stl_is_read_back_by_another_library(plate):
    mesh = clasp_solid(clasp_of(plate))
    data = stl_bytes(mesh)
    assert len(data) == 84 + 50 * len(mesh.faces)
    assert not data.startswith(b"solid")
    assert struct.unpack_from("<I", data, 80) == (len(mesh.faces),)
    again = trimesh.load_mesh(io.BytesIO(data), file_type="stl")
    assert again.is_watertight and again.is_winding_consistent
    assert again.volume == pytest.approx(mesh.volume, rel=1e-5)
    assert again.bounds == pytest.approx(mesh.bounds, abs=1e-4)


def test_stl_is_the_file_that_another_library_writes_but_for_the_header():
    """trimesh's own exporter is the reference."""
    mesh = clasp_solid(clasp_of(OUTLINES["rectangle"]))
    reference = trimesh.exchange.stl.export_stl(mesh)
    mine, other = (
        np.frombuffer(data[84:], np.dtype([("f", "<f4", 12), ("a", "<u2")]))
        for data in (stl_bytes(mesh), reference)
    )
    assert mine["f"] == pytest.approx(other["f"], abs=1e-5)
    assert (mine["a"] == 0).all()


def test_stl_normals_are_of_length_one_and_follow_the_corners():
    data = stl_bytes(clasp_solid(clasp_of(OUTLINES["stairs"])))
    rows = np.frombuffer(data[84:], np.dtype([("f", "<f4", (4, 3)), ("a", "<u2")]))["f"].astype(float)
    normals, a, b, c = rows.transpose(1, 0, 2)
    assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0, abs=1e-6)
    assert (np.einsum("ij,ij->i", np.cross(b - a, c - a), normals) > 0).all()


def test_same_clasp_same_bytes():
    first, second = (stl_bytes(clasp_solid(clasp_of(OUTLINES["stairs"]))) for _ in range(2))
    assert first == second


# ---- bends


@pytest.mark.parametrize(
    "sheet, radius, angle, wanted",
    [(0.125, 0.375, 180, 1.338), (0.125, 0.625, 60, 0.707)],
)
def test_bend_allowance_agrees_with_the_handbook(sheet, radius, angle, wanted):
    """Machinery's Handbook, 31st ed., p. 1421, Fig. 13, in inches; soft steel 0.64 t + 1.57 R."""
    k = 0.64 / (math.pi / 2)
    assert bend_allowance(angle, radius, sheet, k) == pytest.approx(wanted, abs=2e-3)


def test_the_handbook_part_has_its_flat_length():
    """Same figure: straights of 3.5 in with both bends make 5.545 in."""
    k = 0.64 / (math.pi / 2)
    total = 3.5 + bend_allowance(180, 0.375, 0.125, k) + bend_allowance(60, 0.625, 0.125, k)
    assert total == pytest.approx(5.545, abs=3e-3)


@pytest.mark.parametrize(
    "angle, radius, sheet, k, allowance, deduction",
    [
        (90, 1.0, 1.0, 0.4074366543, 2.2108, 1.7892),
        (90, 0.8, 0.8, 0.40, 1.7593, 1.4407),
        (120, 2.0, 1.0, 0.42, 5.0684, 5.3239),
    ],
)
def test_allowance_and_deduction(angle, radius, sheet, k, allowance, deduction):
    """Common practice (arithmetic): BD = 2 (R + t) tan(A/2) - BA; obtuse bends count the angle turned."""
    assert bend_allowance(angle, radius, sheet, k) == pytest.approx(allowance, abs=1e-4)
    assert bend_deduction(angle, radius, sheet, k) == pytest.approx(deduction, abs=1e-4)


def test_u_bracket():
    """Common practice (arithmetic): outside 18 + 26.8 + 18, t 0.8, R 0.8, K 0.40 make 59.919 flat."""
    pattern = flat_pattern(clasp_of(box(0, 0, 17.2, 12), span=25.2))
    assert pattern.legs_mm == pytest.approx((18.0, 18.0))
    assert pattern.across_mm == pytest.approx(26.8)
    assert pattern.length_mm == pytest.approx(59.919, abs=1e-3)
    assert pattern.outline.bounds == pytest.approx((0, 0, 59.919, 12), abs=1e-3)


@given(lengths, lengths, spans, st.floats(0.5, 2.0), st.floats(0.5, 2.0), st.floats(0.33, 0.5))
def test_folding_gives_back_the_outside_sizes(length, width, span, sheet, radius_share, k):
    radius = sheet * radius_share
    assume(length > radius + 0.1 and span > 2 * radius + 0.1)
    clasp = clasp_of(box(0, 0, length, width), span=span, sheet=sheet, radius=radius, k_factor=k)
    pattern = flat_pattern(clasp)
    bent = fold(pattern)
    assert_closed(bent)
    assert bent.extents == pytest.approx([length + sheet, width, span + 2 * sheet], abs=0.1)
    assert pattern.length_mm == pytest.approx(pattern.outline.bounds[2], abs=1e-6)
    # closed form: straights as cut, each bend a quarter ring (chords stay within 0.2 % of it)
    straights = 2 * (length - radius) + span - 2 * radius
    rings = 2 * math.pi / 4 * ((radius + sheet) ** 2 - radius**2)
    assert bent.volume == pytest.approx(width * (straights * sheet + rings), rel=4e-3)


@every_outline
def test_folded_pattern_and_print_have_the_same_inside(plate):
    clasp = clasp_of(plate)
    pattern = flat_pattern(clasp)
    bent = fold(pattern)
    assert_closed(bent)
    printed = clasp_solid(clasp)
    length, width = plate.bounds[2:]
    assert bent.extents == pytest.approx([length + 0.8, width, 26.8 + 1.6], abs=0.1)
    assert sorted(printed.extents) == pytest.approx(sorted([length + 2.0, width, 26.8 + 4.0]), abs=1e-3)
    assert manifold_volume(bent) == pytest.approx(bent.volume, rel=1e-4)


@every_outline
def test_flat_pattern_is_its_own_mirror_image(plate):
    pattern = flat_pattern(clasp_of(plate))
    mirrored = affine_transform(pattern.outline, (-1, 0, 0, 1, pattern.length_mm, 0))
    assert mirrored.symmetric_difference(pattern.outline).area < 1e-3


def test_bend_lines_stand_in_the_middle_of_the_bends():
    pattern = flat_pattern(clasp_of(OUTLINES["rectangle"]))
    first, second = pattern.bends
    assert first.line_mm + second.line_mm == pytest.approx(pattern.length_mm)
    assert second.line_mm - first.line_mm == pytest.approx(26.8 - 1.6 + first.allowance_mm)


@pytest.mark.parametrize(
    "plate, span, message",
    [
        (box(0, 0, 0.7, 0.7), 26.8, r"0\.7 mm long ends inside the bend of radius 0\.8 mm"),
        (OUTLINES["rectangle"], 1.2, r"do not fit into a span of 1\.2 mm"),
    ],
)
def test_what_cannot_be_bent_is_refused_with_numbers(plate, span, message):
    with pytest.raises(DesignError, match=message):
        flat_pattern(clasp_of(plate, span=span))


@pytest.mark.parametrize(
    "length, span, codes",
    [(18.0, 26.8, []), (1.9, 26.8, ["short-flange"]), (18.0, 2.0, ["narrow-channel"])],
)
def test_findings_of_a_bending_workshop(length, span, codes):
    """Least flange 2.5 t + R, common practice: with t = R = 0.8 it is 2.8 mm outside."""
    found = list(check_pattern(clasp_of(box(0, 0, length, 12), span=span)))
    assert [f.code for f in found] == codes
    for finding in found:
        assert finding.measured_mm < finding.limit_mm
    if codes == ["short-flange"]:
        assert found[0].limit_mm == pytest.approx(2.8)
