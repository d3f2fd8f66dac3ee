"""The clasp as a solid to print and as a flat pattern to bend, and the STL writer."""

from pixel2make.pack.meshes.flat import FlatPattern, check_pattern, flat_pattern
from pixel2make.pack.meshes.fold import fold
from pixel2make.pack.meshes.solid import Lay, clasp_solid, print_lay
from pixel2make.pack.meshes.stl import stl_bytes

__all__ = [
    "FlatPattern",
    "Lay",
    "check_pattern",
    "clasp_solid",
    "flat_pattern",
    "fold",
    "print_lay",
    "stl_bytes",
]
