"""The model as a GLB file: glTF 2.0 in one binary container (ISO/IEC 12113:2022).

glTF measures in metres with Y up and +Z to the front. The book's own frame is right-handed with the head up
and the front board to the front, so nothing is turned: millimetres become metres, and that is all.
"""

from __future__ import annotations

import json
import struct
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pixel2make import trade
from pixel2make.color import linear_light
from pixel2make.pack.model.normals import corner_normals
from pixel2make.pack.model.solid import Model, Solid

__all__ = ["glb_bytes"]

_MAGIC, _JSON, _BIN = 0x46546C67, 0x4E4F534A, 0x004E4942
_FLOAT, _UINT = 5126, 5125
_ARRAY_BUFFER, _ELEMENT_BUFFER = 34962, 34963
"""Numbers of the container and of the component types and buffer targets, as the standard has them."""

_M_IN_MM = 0.001
_NORMAL_BITS, _NORMAL_STEPS = 15, 10_000
"""Each part of a normal, from -1 to 1, in steps that fit so many bits; 18 more are left for a solid's
vertices."""


def glb_bytes(model: Model, name: str) -> bytes:
    """The model for any 3D viewer.

    Parameters
    ----------
    model : Model
    name : str
        Of the object.

    Returns
    -------
    bytes
        One node and mesh a solid, named as the solid; one material for each finish and colour. No date,
        no path; the same bytes for the same model.
    """
    writer = _Writer()
    nodes = [writer.node(solid) for solid in model.solids]
    content = {
        "asset": {"version": "2.0", "generator": "pixel2make"},
        "scene": 0,
        "scenes": [{"name": name, "nodes": nodes}],
        "nodes": writer.nodes,
        "meshes": writer.meshes,
        "materials": writer.materials,
        "accessors": writer.accessors,
        "bufferViews": writer.views,
        "buffers": [{"byteLength": len(writer.data)}],
    }
    text = json.dumps(content, ensure_ascii=True, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    data = bytes(writer.data)
    total = 12 + 8 + len(text) + 8 + len(data)
    return (
        struct.pack("<III", _MAGIC, 2, total)
        + struct.pack("<II", len(text), _JSON)
        + text
        + struct.pack("<II", len(data), _BIN)
        + data
    )


class _Writer:
    """Collects the tables of the file and its one buffer."""

    def __init__(self) -> None:
        self.nodes: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.views: list[dict[str, Any]] = []
        self.data = bytearray()
        self._known: dict[tuple[str, str], int] = {}

    def node(self, solid: Solid) -> int:
        """Add a solid; its number among the nodes."""
        places, normals, triangles = _corners(solid)
        primitive = {
            "attributes": {
                "POSITION": self._accessor(places, "VEC3", _ARRAY_BUFFER, with_bounds=True),
                "NORMAL": self._accessor(normals, "VEC3", _ARRAY_BUFFER),
            },
            "indices": self._accessor(triangles, "SCALAR", _ELEMENT_BUFFER),
            "material": self._material(solid),
        }
        self.meshes.append({"name": solid.name, "primitives": [primitive]})
        self.nodes.append({"name": solid.name, "mesh": len(self.meshes) - 1})
        return len(self.nodes) - 1

    def _accessor(self, values: NDArray[Any], kind: str, target: int, *, with_bounds: bool = False) -> int:
        content = values.tobytes()
        self.views.append(
            {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(content), "target": target}
        )
        self.data += content + b"\0" * (-len(content) % 4)
        entry: dict[str, Any] = {
            "bufferView": len(self.views) - 1,
            "componentType": _UINT if values.dtype == np.uint32 else _FLOAT,
            "count": len(values),
            "type": kind,
        }
        if with_bounds:
            entry["min"] = [float(v) for v in values.min(axis=0)]
            entry["max"] = [float(v) for v in values.max(axis=0)]
        self.accessors.append(entry)
        return len(self.accessors) - 1

    def _material(self, solid: Solid) -> int:
        key = (solid.finish, solid.color)
        if key not in self._known:
            strength, sharpness, metal = trade.value("preview.finish").value[solid.finish]
            del strength
            self._known[key] = len(self.materials)
            self.materials.append(
                {
                    "name": f"{solid.finish} {solid.color}",
                    "pbrMetallicRoughness": {
                        "baseColorFactor": [*(round(v, 5) for v in linear_light(solid.color).tolist()), 1.0],
                        "metallicFactor": float(metal),
                        "roughnessFactor": round(float((2 / (sharpness + 2)) ** 0.25), 3),
                    },
                }
            )
        return self._known[key]


def _corners(solid: Solid) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.uint32]]:
    """Places in metres, unit normals and triangles; corners that agree in both are one vertex."""
    places = (solid.vertices[solid.faces].reshape(-1, 3) * _M_IN_MM).astype(np.float32)
    normals = corner_normals(solid).reshape(-1, 3).astype(np.float32)
    _, place = np.unique(solid.vertices.astype(np.float32), axis=0, return_inverse=True)
    # Place and normal, to one part in ten thousand, packed into one number, which sorts far faster than rows.
    key = place.reshape(-1)[solid.faces].reshape(-1).astype(np.int64)
    for axis in range(3):
        key = key << _NORMAL_BITS | (np.rint(normals[:, axis] * _NORMAL_STEPS) + _NORMAL_STEPS).astype(
            np.int64
        )
    _, first, index = np.unique(key, return_index=True, return_inverse=True)
    unit = normals[first].astype(np.float64)
    unit /= np.linalg.norm(unit, axis=1, keepdims=True)
    return places[first], unit.astype(np.float32), index.reshape(-1).astype(np.uint32)
