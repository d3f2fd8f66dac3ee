"""The GLB: a container as glTF 2.0 (ISO/IEC 12113:2022) has it, read back by another library."""

import io
import json
import struct

import numpy as np
import pytest
import trimesh

from pixel2make.pack.model.build import model_of
from pixel2make.pack.model.glb import glb_bytes
from tests.pack.catalogue import SIZES, book


@pytest.fixture(scope="module")
def usual():
    model = model_of(book())
    return model, glb_bytes(model, "lamplighters-log")


def content_of(glb):
    magic, version, total = struct.unpack("<III", glb[:12])
    assert (magic, version, total) == (0x46546C67, 2, len(glb))
    length, kind = struct.unpack("<II", glb[12:20])
    assert kind == 0x4E4F534A and length % 4 == 0
    return json.loads(glb[20 : 20 + length]), glb[28 + length :]


def test_read_by_another_library_it_has_every_solid_in_metres(usual):
    model, glb = usual
    scene = trimesh.load(io.BytesIO(glb), file_type="glb")
    low, high = model.bounds_mm
    assert scene.bounds == pytest.approx(np.array([low, high]) / 1000, abs=1e-6)
    assert len(scene.geometry) == len(model.solids)
    total = sum(solid.volume_mm3 for solid in model.solids)
    assert sum(mesh.volume for mesh in scene.geometry.values()) * 1e9 == pytest.approx(total, rel=1e-4)


def test_up_is_y_and_the_front_board_faces_z(usual):
    """glTF 2.0, 3.4: +Y is up, the front of an asset faces +Z, the unit is the metre."""
    scene = trimesh.load(io.BytesIO(usual[1]), file_type="glb")
    size = scene.bounds[1] - scene.bounds[0]
    assert size[1] == pytest.approx(0.300, abs=0.002)
    front = scene.geometry["front_board"].bounds[:, 2].mean()
    assert front > scene.geometry["back_board"].bounds[:, 2].mean()


def test_colours_are_linear_light(usual):
    """glTF 2.0, 3.9.2: baseColorFactor holds linear values. IEC 61966-2-1 has 128/255 at 0.21586."""
    content, _ = content_of(usual[1])
    by_name = {material["name"]: material for material in content["materials"]}
    for name, material in by_name.items():
        color = name.split()[-1]
        for k in range(3):
            code = int(color[1 + 2 * k : 3 + 2 * k], 16) / 255
            linear = code / 12.92 if code <= 0.04045 else ((code + 0.055) / 1.055) ** 2.4
            assert material["pbrMetallicRoughness"]["baseColorFactor"][k] == pytest.approx(linear, abs=1e-4)


@pytest.mark.parametrize("name", SIZES)
def test_buffers_are_aligned_and_in_bounds(name):
    """glTF 2.0, 3.6.2.4: accessors begin at multiples of their component, views lie in the buffer; 3.7.2.1:
    normals are unit vectors, positions state their bounds."""
    content, data = content_of(glb_bytes(model_of(book(**SIZES[name])), name))
    assert content["asset"] == {"version": "2.0", "generator": "pixel2make"}
    assert content["buffers"] == [{"byteLength": len(data)}]
    for view in content["bufferViews"]:
        assert view["byteOffset"] % 4 == 0
        assert view["byteOffset"] + view["byteLength"] <= len(data)
    for mesh in content["meshes"]:
        (primitive,) = mesh["primitives"]
        place = content["accessors"][primitive["attributes"]["POSITION"]]
        normal = content["accessors"][primitive["attributes"]["NORMAL"]]
        index = content["accessors"][primitive["indices"]]
        values = {
            key: np.frombuffer(
                data,
                np.uint32 if key == "index" else np.float32,
                entry["count"] * (1 if key == "index" else 3),
                content["bufferViews"][entry["bufferView"]]["byteOffset"],
            )
            for key, entry in (("place", place), ("normal", normal), ("index", index))
        }
        places = values["place"].reshape(-1, 3)
        assert places.min(axis=0).tolist() == pytest.approx(place["min"])
        assert places.max(axis=0).tolist() == pytest.approx(place["max"])
        lengths = np.linalg.norm(values["normal"].reshape(-1, 3).astype(float), axis=1)
        assert lengths == pytest.approx(1, abs=1e-4)
        assert values["index"].max() < place["count"]
        assert index["count"] % 3 == 0


def test_same_model_same_bytes(usual):
    assert glb_bytes(model_of(book()), "lamplighters-log") == usual[1]
