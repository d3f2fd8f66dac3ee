"""Binary STL: 80 bytes of header, a count, then 50 bytes a triangle, little-endian.

The format has no unit; the header says that it is millimetres, and so does the pack.
"""

from __future__ import annotations

import numpy as np

from pixel2make.pack.meshes.threemf import Named

__all__ = ["stl_bytes"]

HEADER = b"binary STL, unit millimetre, pixel2make"
"""Never begins with "solid", by which readers tell the text form."""

_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def stl_bytes(mesh: Named) -> bytes:
    """A mesh as binary STL; the same mesh gives the same bytes.

    Parameters
    ----------
    mesh : Named
        Corners are counter-clockwise seen from outside.

    Returns
    -------
    bytes
        84 + 50 F long. Normals follow from the corners; that of a face without area is zero.
    """
    corners = np.asarray(mesh.vertices, float)[np.asarray(mesh.faces, int)].reshape(-1, 3, 3)
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    records = np.zeros(len(corners), _TRIANGLE)
    records["normal"] = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0)
    records["corners"] = corners
    count = np.array(len(corners), "<u4").tobytes()
    return HEADER.ljust(80, b"\0") + count + records.tobytes()
