"""Drawings as files: one file a format, from the same list of shapes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import PurePosixPath

from pixel2make.pack.pens import Drawing, svg_bytes

__all__ = ["FORMATS", "Content", "drawing_paths", "expanded", "written"]

Content = bytes | Drawing
"""What a section gives for a path: a file's bytes, or a drawing under a path without a suffix."""


_SUFFIXES = frozenset(
    f".{form}"
    for form in ["svg", "dxf", "pdf", "stl", "3mf", "glb", "txt", "csv", "json", "png", "gif", "webp", "html"]
)
"""What marks a path as a whole file's; ".5mm" of a thickness does not."""


def _svg(drawing: Drawing, paper: str, units: str) -> bytes:
    return svg_bytes(drawing)


def _dxf(drawing: Drawing, paper: str, units: str) -> bytes:
    from pixel2make.pack.pens.dxf import dxf_bytes

    return dxf_bytes(drawing)


def _pdf(drawing: Drawing, paper: str, units: str) -> bytes:
    from pixel2make.pack.pens.pdf import pdf_bytes

    return pdf_bytes(drawing, paper, units)


FORMATS: Mapping[str, Callable[[Drawing, str, str], bytes]] = {"svg": _svg, "dxf": _dxf, "pdf": _pdf}
"""Suffix to writer of a drawing for a paper, with a bar in the units of length."""


def written(contents: Mapping[str, Content], *, paper: str, units: str = "mm") -> dict[str, bytes]:
    """Bytes of every file: drawings in each of their formats, everything else as it is.

    Parameters
    ----------
    contents : mapping of path to bytes or Drawing
        A drawing's path has no suffix.
    paper : str
        What the maker prints on.
    units : {"mm", "in"}
        What the maker measures prints in.
    """
    files: dict[str, bytes] = {}
    for path, content in contents.items():
        if isinstance(content, Drawing):
            for form in content.formats:
                files[f"{path}.{form}"] = FORMATS[form](content, paper, units)
        else:
            files[path] = content
    return files


def drawing_paths(path: str, formats: Iterable[str] = tuple(FORMATS)) -> tuple[str, ...]:
    """Paths of a drawing's files.

    >>> drawing_paths("sheets/greyboard_2mm")
    ('sheets/greyboard_2mm.svg', 'sheets/greyboard_2mm.dxf', 'sheets/greyboard_2mm.pdf')
    """
    return tuple(f"{path}.{form}" for form in formats)


def expanded(path: str) -> tuple[str, ...]:
    """The files behind a path that a section names: itself, or a drawing's where it has no suffix."""
    return (path,) if PurePosixPath(path).suffix in _SUFFIXES else drawing_paths(path)
