"""The solid model: closed bodies, wound outwards, of the volume that geometry gives them."""

import math

import numpy as np
import pytest
import trimesh
from shapely.geometry import Polygon, box

from pixel2make.pack.model.build import model_of
from pixel2make.pack.model.shapes import extruded, loft, placed, rounded_rectangle
from pixel2make.pack.model.solid import Solid
from tests.pack.catalogue import SIZES, book


def mesh_of(solid: Solid) -> trimesh.Trimesh:
    """Read by a library of its own; bodies that touch stay apart, since each is closed by itself."""
    return trimesh.Trimesh(solid.vertices, solid.faces, process=False)


@pytest.mark.parametrize("name", SIZES)
def test_every_solid_is_closed_and_wound_outwards(name):
    model = model_of(book(**SIZES[name]))
    for solid in model.solids:
        mesh = mesh_of(solid)
        assert mesh.is_watertight, solid.name
        assert mesh.is_winding_consistent, solid.name
        assert mesh.volume > 0, solid.name
        assert solid.volume_mm3 == pytest.approx(mesh.volume), solid.name


@pytest.mark.parametrize("name", SIZES)
def test_the_model_is_as_large_as_the_closed_book(name):
    design = book(**{**SIZES[name], "clasps": 0})
    low, high = model_of(design).bounds_mm
    inlay = 0.5
    wanted = [design.dimension(d).value_mm for d in ("cover_width", "cover_height", "book_thickness")]
    assert np.all(low >= -inlay - 1e-6)
    assert np.all(low <= 1e-6)
    assert high == pytest.approx(wanted, abs=inlay)


def test_volume_of_a_rounded_prism():
    """Rectangle less four corners of (1 - pi/4) r^2; the polygon lies inside its arcs."""
    ring = rounded_rectangle((0, 0), (100, 60), (10, 10, 10, 10))
    body = loft([ring, ring], [0, 5])
    exact = (100 * 60 - (4 - math.pi) * 10**2) * 5
    assert trimesh.Trimesh(*body).volume == pytest.approx(exact, rel=1e-3)
    assert trimesh.Trimesh(*body).volume < exact


def test_volume_of_a_frustum():
    """Prismatoid: h / 3 (A + a + sqrt(A a)) for similar ends."""
    large = np.array([[0, 0], [9, 0], [9, 9], [0, 9]], float)
    small = large / 3 + 3
    body = loft([large, small], [0, 6])
    assert trimesh.Trimesh(*body).volume == pytest.approx(6 / 3 * (81 + 9 + math.sqrt(81 * 9)))


def test_volume_of_an_outline_with_a_hole():
    outline = Polygon(box(0, 0, 30, 20).exterior, [box(5, 5, 10, 10).exterior])
    body = extruded(outline, 2, 4.5)
    mesh = trimesh.Trimesh(*body)
    assert mesh.is_volume
    assert mesh.volume == pytest.approx((30 * 20 - 25) * 2.5)
    assert mesh.bounds[:, 2].tolist() == [2, 4.5]


def test_mirroring_keeps_the_winding():
    body = placed(extruded(box(0, 0, 3, 2), 0, 1), ((1, 0, 0), (0, -1, 0), (0, 0, 1)), (0, 10, 0))
    mesh = trimesh.Trimesh(*body)
    assert mesh.volume == pytest.approx(6)
    assert mesh.bounds.tolist() == [[0, 8, 0], [3, 10, 1]]


def test_the_block_has_the_volume_of_its_leaves():
    """Squares on three sides, the spine on the fourth; leaves fill the room between the boards."""
    design = book(radius=0.0)
    model = model_of(design)
    length = {d.name: d.value_mm for d in design.dimensions}
    between = length["book_thickness"] - 2 * (length["board_thickness"] + 1.0)
    wide = length["cover_width"] - length["square"] - 1.0
    high = length["cover_height"] - 2 * length["square"]
    found = sum(s.volume_mm3 for s in model.solids if s.name in ("text_block", "endpapers"))
    assert found == pytest.approx(wide * high * between, rel=0.005)


def test_an_area_lies_where_its_face_has_it():
    """The emblem's outline counts from the head-spine corner, y down; the model's y runs up."""
    design = book()
    area = next(a for a in design.areas if a.name == "emblem-1")
    solid = [s for s in model_of(design).solids if s.name == "emblem-1"]
    points = np.concatenate([s.vertices for s in solid])
    x0, y0, x1, y1 = area.outline.bounds
    height, thickness = design.dimension("cover_height").value_mm, design.dimension("book_thickness").value_mm
    assert points[:, 0].min() == pytest.approx(x0, abs=1e-3)
    assert points[:, 0].max() == pytest.approx(x1, abs=1e-3)
    assert height - points[:, 1].max() == pytest.approx(y0, abs=1e-3)
    assert height - points[:, 1].min() == pytest.approx(y1, abs=1e-3)
    assert thickness < points[:, 2].max() < thickness + 0.5


def test_a_solid_refuses_an_unknown_finish():
    with pytest.raises(ValueError, match="finish"):
        Solid("a", "cover", "velvet", "#000000", np.zeros((3, 3)), np.zeros((1, 3)))
