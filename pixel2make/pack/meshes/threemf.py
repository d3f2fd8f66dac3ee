"""3MF packages after the core specification: every mesh an object with its material, in millimetres.

A package is a ZIP archive with three parts: the content types, the relation to the model, and the model.
Entries carry the earliest date that the archive format knows, so the same meshes give the same bytes.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable
from typing import Protocol
from xml.sax.saxutils import quoteattr

import numpy as np
from numpy.typing import NDArray

__all__ = ["NAMESPACE", "threemf_bytes"]

NAMESPACE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"

_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
_CONTENT_TYPES = (
    f'{_HEAD}<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>"
)
_RELATIONS = (
    f'{_HEAD}<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="rel0" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)
_DATE = (1980, 1, 1, 0, 0, 0)
_DECIMALS = 5
"""A hundredth of a micrometre: finer than the 32-bit floats of an STL file for anything above 0.1 m."""


class Named(Protocol):
    """What an object needs: a name, a material, a colour, corners and triangles."""

    @property
    def name(self) -> str:
        """Shown by a slicer."""

    @property
    def material(self) -> str:
        """Name in the group of base materials."""

    @property
    def color(self) -> str:
        """sRGB hex, "#d29428"."""

    @property
    def vertices(self) -> NDArray[np.float64]:
        """Corners, shape (V, 3), mm."""

    @property
    def faces(self) -> NDArray[np.int64]:
        """Triangles, shape (F, 3), counter-clockwise seen from outside."""


def threemf_bytes(meshes: Iterable[Named], *, title: str = "") -> bytes:
    """Meshes as one 3MF package, each where its vertices say; the same meshes give the same bytes.

    Parameters
    ----------
    meshes : iterable of Named
        Watertight, in millimetres, z up, every coordinate at or above 0 so that a slicer keeps the places.
    title : str
        Metadata of the model.

    Returns
    -------
    bytes

    Notes
    -----
    3MF Core Specification: unit, resources with basematerials (colours as #RRGGBB), objects of type
    "model", a build item for each.
    """
    pieces = list(meshes)
    materials = sorted({(piece.material, piece.color.upper()) for piece in pieces})
    lines = [
        f'{_HEAD}<model unit="millimeter" xml:lang="en-US" xmlns="{NAMESPACE}">',
        f'<metadata name="Title">{_text(title)}</metadata>' if title else "",
        "<resources>",
        '<basematerials id="1">',
        *(
            f"<base name={quoteattr(name)} displaycolor={quoteattr(color or '#808080')}/>"
            for name, color in materials
        ),
        "</basematerials>",
    ]
    for number, piece in enumerate(pieces, 2):
        index = materials.index((piece.material, piece.color.upper()))
        lines.append(
            f'<object id="{number}" type="model" name={quoteattr(piece.name)} pid="1" pindex="{index}">'
        )
        lines.append(_mesh(piece))
        lines.append("</object>")
    lines += ["</resources>", "<build>"]
    lines += [f'<item objectid="{number}"/>' for number in range(2, len(pieces) + 2)]
    lines += ["</build>", "</model>"]
    model = "\n".join(line for line in lines if line) + "\n"
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, content in (
            ("[Content_Types].xml", _CONTENT_TYPES),
            ("_rels/.rels", _RELATIONS),
            ("3D/3dmodel.model", model),
        ):
            entry = zipfile.ZipInfo(path, _DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3  # the same bytes on every system
            archive.writestr(entry, content)
    return buffer.getvalue()


def _mesh(piece: Named) -> str:
    corners = np.round(np.asarray(piece.vertices, float), _DECIMALS) + 0.0  # no "-0"
    vertices = "\n".join(f'<vertex x="{x:.10g}" y="{y:.10g}" z="{z:.10g}"/>' for x, y, z in corners.tolist())
    triangles = "\n".join(
        f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in np.asarray(piece.faces).tolist()
    )
    return f"<mesh>\n<vertices>\n{vertices}\n</vertices>\n<triangles>\n{triangles}\n</triangles>\n</mesh>"


def _text(words: str) -> str:
    from xml.sax.saxutils import escape

    return escape(words)
