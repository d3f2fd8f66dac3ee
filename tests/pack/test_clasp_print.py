"""Printed clasps: the coupon and its answer, plates in the bed, support, walls, shrinkage, split pieces."""

import itertools

import lib3mf
import manifold3d
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from pixel2make.design import dimension
from pixel2make.design.bed import Bed
from pixel2make.geometry.pieces import Sheet
from pixel2make.geometry.solids import joined
from pixel2make.kinds.book.build import BookBuild
from pixel2make.pack.clasp import clasp_files
from pixel2make.pack.clasp_print import plates, printed_pieces
from pixel2make.pack.meshes.coupon import GAUGE_MM, coupon_pieces
from pixel2make.pack.meshes.lay import laid
from tests.design import catalogue
from tests.pack.clasps import FORMS, gauge_of, site_of

KIND = BookBuild()
forms = pytest.mark.parametrize("form", FORMS)


def printed_of(size=300.0, form="hooked_arm", **choices):
    book = catalogue.book(*catalogue.CLASP, thickness=(14.0, 0.0))
    return dimension(book, KIND, size_mm=size, choices={"clasp_form": form, **choices})


def closed(mesh):
    body = manifold3d.Manifold(
        manifold3d.Mesh64(np.array(mesh.vertices, order="C"), np.array(mesh.faces, np.uint64, order="C"))
    )
    found = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert found.is_watertight and found.is_winding_consistent
    assert body.status() == manifold3d.Error.NoError
    assert body.volume() == pytest.approx(found.volume, rel=1e-6)
    return body


# ---- the coupon


def test_the_coupons_slots_are_wider_than_its_gauge_by_a_tenth_each():
    """Measured on the mesh: cut through the slots, the gaps between the comb's teeth."""
    pieces = dict(coupon_pieces())
    for solid in pieces.values():
        assert trimesh.Trimesh(solid.vertices, solid.faces, process=False).is_watertight
    low, high = pieces["fit-coupon"].bounds
    section = pieces["fit-coupon"].body().slice((low[2] + high[2]) / 2)
    teeth = [np.asarray(ring) for ring in section.to_polygons()]
    assert len(teeth) == 1
    line = 0.75 * high[1]
    xs = sorted(
        a[0] + (line - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        for a, b in zip(teeth[0], np.roll(teeth[0], -1, axis=0), strict=True)
        if (a[1] - line) * (b[1] - line) < 0
    )
    gaps = [b - a for a, b in itertools.pairwise(xs)][1::2]
    assert gaps == pytest.approx([GAUGE_MM + step for step in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6)], abs=1e-6)


@pytest.mark.parametrize(("process", "usual"), [("fdm", 0.4), ("resin", 0.3)])
@given(answer=st.sampled_from([0.1, 0.2, 0.3, 0.4, 0.5, 0.6]))
@settings(max_examples=4)
def test_the_coupons_answer_is_the_play_of_what_slides(process, usual, answer):
    """Measured between hook and slot on the printed pieces: the answer in all, half of it a side. The usual
    clearance is common practice of the process."""

    def play(**choices):
        mechanism = printed_of(print_process=process, **choices).clasps[0].printed
        arm, catch = mechanism.piece("_arm"), mechanism.piece("_catch_plate")
        assert isinstance(arm.shape, Sheet) and isinstance(catch.shape, Sheet)
        bend = next(f for f in arm.shape.panel.folds if f.panel.name == "hook")
        slot = max((Polygon(r) for r in catch.shape.panel.outline.interiors), key=lambda r: r.area)
        _, low, _, high = slot.bounds
        return (high - low - bend.length_mm) / 2

    assert play() == pytest.approx(usual, abs=1e-6)
    assert play(print_clearance=f"{answer}mm") == pytest.approx(answer, abs=1e-6)


# ---- on the bed


def overhanging_mm2(mesh):
    """Area that looks down more than 45 degrees from the vertical and lies above the bed, by normals of a
    library."""
    found = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    down = found.face_normals[:, 2] < -np.sin(np.radians(45)) - 1e-6
    above = found.triangles[:, :, 2].max(axis=1) > 0.02
    return float(found.area_faces[down & above].sum())


@forms
@settings(max_examples=8, deadline=None)
@given(st.floats(60, 1000), st.floats(0.08, 0.4), st.floats(0.05, 0.12))
def test_pieces_lie_broad_and_hang_little(form, height, thick, wide):
    """No overhang without need: what hangs is no more than a quarter of what rests on the bed, and is what is
    told. Common practice: 45 degrees."""
    plate = box(0, 0, max(0.1 * height, 30), max(wide * height, 12))
    mechanism = FORMS[form](
        site_of(plate, height=height, thickness=max(thick * height, 15)), gauge_of("print")
    )
    for piece in mechanism.pieces:
        if piece.source != "made":
            continue
        guests = [other.solid() for other in mechanism.pieces if other.joined_to == piece.name]
        lay = laid(joined([piece.solid(), *guests]) if guests else piece.solid())
        closed(lay.solid)
        hangs = overhanging_mm2(lay.solid)
        assert hangs == pytest.approx(lay.hanging_mm2, abs=0.01)
        assert hangs <= 0.25 * lay.resting_mm2
        assert lay.solid.bounds[0] == pytest.approx([0, 0, 0], abs=1e-9)


@pytest.mark.parametrize(("process", "least"), [("fdm", 1.2), ("resin", 0.8)])
@pytest.mark.parametrize("size", [60.0, 300.0, 900.0])
@forms
def test_walls_are_no_thinner_than_the_process_prints(form, size, process, least):
    """Common practice: 1.2 mm of filament, 0.8 mm of resin."""
    mechanism = printed_of(size, form, print_process=process).clasps[0].printed
    for piece in mechanism.pieces:
        if piece.source == "made":
            assert piece.shape.sheet_mm >= least
        elif piece.source == "rod":
            assert piece.shape.diameter_mm >= least


@forms
@pytest.mark.parametrize(("size", "bed"), [(300.0, "180x180x180mm"), (1000.0, "120x120x120mm")])
def test_every_piece_is_on_a_plate_within_the_bed_and_apart_from_the_others(form, size, bed):
    """The plates, read back by lib3mf in its strict mode: millimetres, closed, inside the bed, no two in the
    same place; what is too large is in parts that hold together."""
    design = printed_of(size, form, bed=bed)
    pieces = printed_pieces(design)
    volume = tuple(float(v) for v in bed.removesuffix("mm").split("x"))
    on_plates = plates(pieces, Bed(*volume))
    assert sorted(m.name for plate in on_plates for m in plate) == sorted(p.mesh.name for p in pieces)
    files = clasp_files(design)
    for number, plate in enumerate(on_plates, 1):
        model = lib3mf.get_wrapper().CreateModel()
        reader = model.QueryReader("3mf")
        reader.SetStrictModeActive(True)
        reader.ReadFromBuffer(files[f"clasp/print-plate-{number}.3mf"])
        assert reader.GetWarningCount() == 0
        assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
        objects, count = model.GetMeshObjects(), 0
        while objects.MoveNext():
            mesh = objects.GetCurrentMeshObject()
            assert mesh.IsManifoldAndOriented()
            outbox = mesh.GetOutbox()
            assert min(outbox.MinCoordinate) >= -1e-4
            assert all(outbox.MaxCoordinate[i] <= volume[i] + 1e-4 for i in range(3))
            count += 1
        assert count == len(plate)
        bodies = [closed(mesh) for mesh in plate]
        for one, other in itertools.combinations(bodies, 2):
            assert one.min_gap(other, 10.0) > 1.0


@forms
def test_split_pieces_hold_all_of_the_whole(form):
    """The parts' volumes are the whole's less the play of the keys; each key stands in its neighbour."""
    whole = {p.title: p.volume_mm3 for p in printed_pieces(printed_of(1000.0, form, bed="999x999x999mm"))}
    parts = printed_pieces(printed_of(1000.0, form, bed="80x80x80mm"))
    assert any("part 1 of" in part.title for part in parts)
    for title, volume in whole.items():
        own = sum(p.volume_mm3 for p in parts if p.title.split(", part")[0] == title)
        assert 0.97 * volume < own <= volume * (1 + 1e-9)


@given(st.floats(0.1, 3.0))
@settings(max_examples=5)
def test_a_print_that_shrinks_comes_out_as_drawn(percent):
    plain = {p.mesh.name: p.mesh for p in printed_pieces(printed_of())}
    for piece in printed_pieces(printed_of(print_shrinkage=percent)):
        cold = np.asarray(piece.mesh.vertices) * (1 - percent / 100)
        assert cold.max(axis=0) == pytest.approx(plain[piece.mesh.name].vertices.max(axis=0), abs=1e-6)
