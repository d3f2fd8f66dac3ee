"""What a pack holds: its sections by name, each a function from Design to files and drawings by path."""

from __future__ import annotations

import importlib
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pixel2make.design.model import Design
    from pixel2make.pack.formats import Content

__all__ = ["IF_ASKED", "PACKS", "SECTIONS", "part_files", "section_contents"]

SECTIONS: Mapping[str, tuple[str, str]] = {
    "drawing": ("pixel2make.pack.general", "drawing_files"),
    "sheets": ("pixel2make.pack.sheets", "cut_sheets"),
    "masks": ("pixel2make.pack.masks", "masks"),
    "clasp": ("pixel2make.pack.clasp", "clasp_files"),
    "metalwork": ("pixel2make.pack.fittings", "fitting_files"),
    "stencils": ("pixel2make.pack.stencils", "stencil_files"),
    "gilding": ("pixel2make.pack.gilding", "gilding_files"),
    "preview": ("pixel2make.pack.preview.pictures", "preview_files"),
    "proof": ("pixel2make.pack.proof.picture", "proof_files"),
    "swatches": ("pixel2make.pack.swatches", "swatch_files"),
    "sewing": ("pixel2make.pack.sewing_template", "sewing_files"),
    "shopping": ("pixel2make.pack.shopping", "shopping_files"),
    "order": ("pixel2make.pack.order", "order_files"),
    "case": ("pixel2make.pack.case", "case_files"),
}
"""Module and function of each section; imported when the section is made."""

IF_ASKED: Mapping[str, str] = {"case": "display_case"}
"""Sections that a full pack has only where a choice is answered with something else than "none"."""

PACKS: Mapping[str, Sequence[str]] = {
    "build": tuple(SECTIONS),
    "case": ("case",),
    "masks": ("masks",),
    "clasp": ("clasp", "metalwork"),
}
"""What each command's pack holds."""

_PATHS = (
    ("pixel2make.pack.sheets", "sheet_paths"),
    ("pixel2make.pack.clasp", "clasp_paths"),
    ("pixel2make.pack.fittings", "fitting_paths"),
)


def section_contents(name: str, design: Design) -> dict[str, Content]:
    """Files and drawings of one section by path.

    Parameters
    ----------
    name : str
        A key of `SECTIONS`.
    design : Design
    """
    module, function = SECTIONS[name]
    files: dict[str, Content] = getattr(importlib.import_module(module), function)(design)
    return files


def part_files(design: Design) -> dict[str, tuple[str, ...]]:
    """Paths in a full pack by part name."""
    from pixel2make.pack.formats import expanded

    found: dict[str, tuple[str, ...]] = {}
    for module, function in _PATHS:
        for name, where in getattr(importlib.import_module(module), function)(design).items():
            found[name] = (*found.get(name, ()), *(file for path in where for file in expanded(path)))
    return found
