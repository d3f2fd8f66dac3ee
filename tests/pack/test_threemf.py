"""The 3MF writer, read back by lib3mf, the consortium's own reference implementation."""

import io
import zipfile

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from pixel2make.pack.meshes.placed import PlacedMesh
from pixel2make.pack.meshes.threemf import threemf_bytes

lib3mf = pytest.importorskip("lib3mf")


def box_of(name, extents, at=(0.0, 0.0, 0.0), material="brass", color="#d29428"):
    mesh = trimesh.creation.box(extents)
    corner = np.array(extents) / 2 + np.array(at)
    return PlacedMesh(name, material, color, mesh.vertices + corner, mesh.faces)


def read_strictly(data: bytes):
    """Model of a package that the reference library reads in its strict mode without a warning."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    assert reader.GetWarningCount() == 0
    return model


def meshes_of(model):
    found = []
    objects = model.GetMeshObjects()
    while objects.MoveNext():
        found.append(objects.GetCurrentMeshObject())
    return found


sizes = st.floats(0.3, 900.0)


@given(sizes, sizes, sizes, st.floats(0.0, 500.0))
def test_the_reference_library_reads_millimetres_names_and_closed_solids(width, depth, height, at):
    data = threemf_bytes(
        [box_of("clasp-1 & arm <left>", (width, depth, height), (at, 0.0, 0.0))], title="a & b"
    )
    model = read_strictly(data)
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    (mesh,) = meshes_of(model)
    # strict mode lets an open mesh pass, so that is asked apart
    assert mesh.IsManifoldAndOriented()
    assert mesh.GetName() == "clasp-1 & arm <left>"
    outbox = mesh.GetOutbox()
    extents = [outbox.MaxCoordinate[i] - outbox.MinCoordinate[i] for i in range(3)]
    assert extents == pytest.approx([width, depth, height], abs=1e-3)


def test_each_object_has_its_material_and_stands_in_the_build():
    pieces = [
        box_of("plate", (3, 4, 5)),
        box_of("strap", (3, 4, 5), (10, 0, 0), "leather", "#7a4a2a"),
        box_of("pin", (1, 1, 5), (20, 0, 0)),
    ]
    model = read_strictly(threemf_bytes(pieces))
    groups = model.GetBaseMaterialGroups()
    assert groups.MoveNext()
    group = groups.GetCurrentBaseMaterialGroup()
    names = {group.GetName(i): group.GetDisplayColor(i) for i in group.GetAllPropertyIDs()}
    assert set(names) == {"brass", "leather"}
    brass = names["brass"]
    assert (brass.Red, brass.Green, brass.Blue, brass.Alpha) == (0xD2, 0x94, 0x28, 0xFF)
    assert model.GetBuildItems().Count() == 3
    assert [m.GetName() for m in meshes_of(model)] == ["plate", "strap", "pin"]


def test_an_open_mesh_is_told_by_the_reference_library():
    """That the check above can fail."""
    closed = box_of("plate", (3, 4, 5))
    torn = PlacedMesh("plate", "brass", "#d29428", closed.vertices, closed.faces[:-1])
    (mesh,) = meshes_of(read_strictly(threemf_bytes([torn])))
    assert not mesh.IsManifoldAndOriented()


def test_same_meshes_same_bytes_and_no_date_of_today():
    pieces = [box_of("plate", (3, 4, 5))]
    data = threemf_bytes(pieces)
    assert data == threemf_bytes(pieces)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert {entry.date_time[:3] for entry in archive.infolist()} == {(1980, 1, 1)}
        assert archive.namelist()[0] == "[Content_Types].xml"
